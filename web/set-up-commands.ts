import type { NoticeSettings } from '../server/notices/settings.ts';
import type { Request } from './commands.ts';

/** What may be asked for on the set-up screens. It moves nothing, so it says neither when it was issued nor what had been seen. */
export type SetUpCommand =
  | { do: 'check-file'; text: string }
  | { do: 'save-file'; text: string; base: string }
  | { do: 'add-person'; name: string; role: 'keeper' | 'helper'; pin: string }
  | { do: 'remove-person'; name: string }
  | { do: 'set-pin'; name: string; pin: string }
  | { do: 'red-button'; where: string; cuts: string; testedBy: string; testedOn: string }
  | { do: 'take-backup' }
  | { do: 'read-backup'; zip: Blob }
  | { do: 'restore'; sum: string }
  | { do: 'start-anew' }
  | ({ do: 'set-notices' } & NoticeSettings)
  | { do: 'try-notices' };

/** A yard file is read on the yard computer, which may be a small one. */
const FILE_WITHIN_MS = 30_000;
/** Longer than the yard computer waits for the receiver. */
const TRIAL_WITHIN_MS = 10_000;
/** So is the packing of a long record. */
const BACKUP_WITHIN_MS = 200_000;

export function setUpRequest(command: SetUpCommand): Request {
  const person = (name: string) => `/api/people/${encodeURIComponent(name)}`;
  switch (command.do) {
    case 'check-file':
      return { ...plain('POST', '/api/file/check', { text: command.text }), answerMs: FILE_WITHIN_MS };
    case 'save-file':
      return {
        ...plain('PUT', '/api/file', { text: command.text, base: command.base }),
        answerMs: FILE_WITHIN_MS,
      };
    case 'add-person':
      return plain('POST', '/api/people', { name: command.name, role: command.role, pin: command.pin });
    case 'remove-person':
      return plain('DELETE', person(command.name));
    case 'set-pin':
      return plain('PUT', `${person(command.name)}/pin`, { pin: command.pin });
    case 'red-button': {
      const { do: _, ...said } = command;
      return plain('PUT', '/api/red-button', said);
    }
    case 'take-backup':
      return { ...plain('GET', '/api/backup'), answerMs: BACKUP_WITHIN_MS };
    case 'read-backup':
      return {
        ...plain('POST', '/api/restore/check'),
        bytes: command.zip,
        answerMs: BACKUP_WITHIN_MS,
      };
    case 'set-notices': {
      const { do: _, ...settings } = command;
      return plain('PUT', '/api/notices', { ...settings });
    }
    case 'try-notices':
      return { ...plain('POST', '/api/notices/trial'), answerMs: TRIAL_WITHIN_MS };
    case 'start-anew':
      return plain('POST', '/api/restart');
    case 'restore':
      return { ...plain('POST', '/api/restore', { sum: command.sum }), answerMs: BACKUP_WITHIN_MS };
  }
}

function plain(method: Request['method'], path: string, body: Record<string, unknown> = {}): Request {
  return { method, path, body, stamped: false };
}
