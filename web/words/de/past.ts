/** German words of going back through a night. */

const anzahl = (n: number, one: string, many: string) => (n === 1 ? `1 ${one}` : `${n} ${many}`);

export const past: typeof import('../past.ts').past = {
  open: 'Den Hof sehen, wie er war',
  heading: (night) => `Der Hof, wie er war, ${night}`,
  toNight: 'Bericht dieser Nacht',
  looking: 'Lese die Aufzeichnung…',
  failed: 'Diese Ansicht konnte nicht geladen werden. Die Seite neu laden.',
  none: 'Für diese Nacht ist nichts aufgezeichnet.',
  asItWas: (clock) => `Wie er um ${clock} war`,
  reading: (clock) => `Lese ${clock}…`,
  now: 'Nur was außerhalb dieses Rahmens liegt, gilt jetzt.',
  off: 'Der Hofrechner lief damals nicht. Das ist das Letzte, was er wusste.',
  gap: 'Ein Teil der Aufzeichnung davor fehlt, also muss es nicht so gewesen sein.',
  slider: 'Augenblick der Nacht',
  controls: 'Durch die Nacht gehen',
  previous: 'Ereignis davor',
  next: 'Nächstes Ereignis',
  event: 'Ereignis',
  back: (seconds) => `${seconds} s zurück`,
  on: (seconds) => `${seconds} s weiter`,
  seconds: (seconds) => `${seconds} s`,
  stepsLabel: 'Ereignisse',
  steps: {
    trouble: 'Störungen und Stopps',
    missed: 'Auch Ausgefallenes',
    all: 'Alles',
  },
  reach: 'Was der Schieber umfasst',
  reaches: { night: 'Nacht', hour: '1 h', minutes: '10 min' },
  keys: 'Pfeiltasten gehen um eine Sekunde, Bild auf und ab um eine Minute.',
  marks: (runs, faults, stops, missed) =>
    [
      anzahl(runs, 'Lauf', 'Läufe'),
      anzahl(faults, 'Störung', 'Störungen'),
      anzahl(stops, 'Stopp', 'Stopps'),
      `${missed} übersprungen`,
    ].join(', '),
  around: 'Was um diese Zeit geschah',
  nothing: 'Um diese Zeit wurde nichts aufgezeichnet.',
  thenCame: 'Dann kam',
  goTo: (clock) => `Gehe zu ${clock}`,
  more: 'Mehr um diese Zeit',
};
