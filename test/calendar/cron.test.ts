import { describe, expect, it } from 'vitest';
import { fallsOn, type Prepare, readPrepare } from '../../server/calendar/cron.ts';
import { dateOf, dayOf } from '../../server/calendar/wall.ts';

function read(text: string): Prepare {
  const found = readPrepare(text);
  if (!found.ok) throw new Error(found.why);
  return found.prepare;
}

function why(text: string): string {
  const found = readPrepare(text);
  return found.ok ? 'was read' : found.why;
}

function datesOf(text: string, from: string, to: string): string[] {
  const prepare = read(text);
  const dates: string[] = [];
  for (let day = dayOf(from); day <= dayOf(to); day += 1) {
    if (fallsOn(prepare, dateOf(day))) dates.push(dateOf(day));
  }
  return dates;
}

describe('prepare', () => {
  // Weekdays of October 2026 by any calendar: the 1st is a Thursday, the 31st a Saturday.
  it('takes names and lists, and wants day and weekday both', () => {
    expect(datesOf('0 16 * 10 fri,sat', '2026-10-01', '2026-11-30')).toEqual([
      '2026-10-02',
      '2026-10-03',
      '2026-10-09',
      '2026-10-10',
      '2026-10-16',
      '2026-10-17',
      '2026-10-23',
      '2026-10-24',
      '2026-10-30',
      '2026-10-31',
    ]);
    expect(datesOf('0 16 25-31 oct SAT', '2026-01-01', '2026-12-31')).toEqual(['2026-10-31']);
    // Friday the thirteenths of 2026: February, March, November.
    expect(datesOf('0 16 13 * friday', '2026-01-01', '2026-12-31')).toEqual([
      '2026-02-13',
      '2026-03-13',
      '2026-11-13',
    ]);
  });

  it('takes ranges, steps, both names of Sunday, and a range over the end of the week', () => {
    expect(datesOf('0 16 1-10/3 10 *', '2026-10-01', '2026-10-31')).toEqual([
      '2026-10-01',
      '2026-10-04',
      '2026-10-07',
      '2026-10-10',
    ]);
    expect(datesOf('0 16 */10 10 *', '2026-10-01', '2026-10-31')).toEqual([
      '2026-10-01',
      '2026-10-11',
      '2026-10-21',
      '2026-10-31',
    ]);
    const sundays = ['2026-10-04', '2026-10-11', '2026-10-18', '2026-10-25'];
    expect(datesOf('0 16 * 10 0', '2026-10-01', '2026-10-31')).toEqual(sundays);
    expect(datesOf('0 16 * 10 7', '2026-10-01', '2026-10-31')).toEqual(sundays);
    expect(datesOf('0 16 * * fri-sun', '2026-10-01', '2026-10-04')).toEqual([
      '2026-10-02',
      '2026-10-03',
      '2026-10-04',
    ]);
  });

  it('reads its time', () => {
    expect(read('05 16 * * *')).toMatchObject({ hour: 16, minute: 5 });
    expect(read(' 59  23 * * * ')).toMatchObject({ hour: 23, minute: 59 });
  });

  it('refuses more than one time a day', () => {
    for (const text of ['0,30 16 * * *', '0 16-17 * * *', '* 16 * * *', '0 */12 * * *']) {
      expect(readPrepare(text)).toMatchObject({ ok: false, code: 'twice' });
    }
  });

  it('says what it can not read', () => {
    expect(why('')).toContain('five fields');
    expect(why('0 16 * *')).toContain('has 4');
    expect(why('0 0 16 * * *')).toContain('has 6');
    expect(why('@daily')).toContain('five fields');
    expect(why('60 16 * * *')).toBe('"60" is no minute: 0 to 59');
    expect(why('0 24 * * *')).toBe('"24" is no hour: 0 to 23');
    expect(why('0 16 0 * *')).toBe('"0" is no day: 1 to 31');
    expect(why('0 16 * 13 *')).toContain('"13" is no month');
    expect(why('0 16 * * 8')).toContain('"8" is no weekday');
    expect(why('0 16 31 feb *')).toBe('no feb has a day 31');
    expect(why('0 16 * okt *')).toContain(`"okt" can't be read as month`);
    expect(why('0 16 fri * *')).toContain(`"fri" can't be read as day`);
    for (const odd of [
      '0 16 L * *',
      '0 16 ? * *',
      '0 16 * * fri#1',
      '0 16 15W * *',
      '0 16 5/10 * *',
      '0 16 -1 * *',
      '0 16 1, * *',
      '0 16 * */0 *',
    ]) {
      expect(readPrepare(odd), odd).toMatchObject({ ok: false, code: 'unreadable' });
    }
  });
});
