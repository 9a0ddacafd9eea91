import type { FaultCode } from '../../../show/reasons.ts';

/** Each fault in a few words, as it heads its page; within other sentences it stands in quotation marks. */
export const TITLES: Readonly<Record<FaultCode, string>> = {
  'travel-slow': 'Nicht rechtzeitig angekommen',
  'no-departure': 'Ende nicht verlassen',
  'travel-short': 'Zu früh angekommen',
  'both-ends': 'Beide Enden zugleich gesehen',
  'end-lost': 'Ende ohne Befehl verlassen',
  chatter: 'Endsensor flattert',
  'interlock-lost': 'Voraussetzung weggefallen',
  overrun: 'Ablauf nicht rechtzeitig zu Ende',
  'no-answer': 'Platine hat nicht geantwortet',
  refused: 'Platine hat die Bewegung abgelehnt',
  failed: 'Platine hat einen Fehler gemeldet',
  'link-lost': 'Platine nicht zu hören',
  'stray-move': 'Ohne Befehl bewegt',
  'two-boards': 'Zwei Platinen für ein Requisit',
  'dead-halt': 'Keine Antwort auf einen Halt',
  drift: 'Wird langsamer',
  'by-hand': 'Von Hand außer Betrieb',
};
