/** German words of the demonstration and its tour; `prop` is a title. */
export const demo: typeof import('../demo.ts').demo = {
  label: 'Vorführung',
  text: 'Eine Vorführung: nichts hier ist echt.',
  shut: {
    closed: 'Der Hof ist geschlossen: keine Szene beginnt, bis er geöffnet ist.',
    opening: 'Der Hof wird geöffnet: erst fahren Requisiten in Grundstellung, dann beginnen Szenen.',
    held: 'Der Hof ist in Pause: was läuft, läuft zu Ende, und keine Szene beginnt, bis jemand „Öffnen“ drückt.',
    closing: 'Der Hof wird geschlossen: was läuft, läuft zu Ende, dann fahren Requisiten in Grundstellung.',
    stopped: 'Der Hof ist gestoppt: keine Szene beginnt, bis der Stopp aufgehoben und der Hof geöffnet ist.',
  },
  stillJammed: (prop) => `${prop}: noch verklemmt.`,
  steps: {
    jam: (prop) => `Was geschieht, wenn ein Requisit klemmt? Verklemmen und hinsehen: ${prop}.`,
    wait: (prop) =>
      `${prop}: verklemmt. Warten, bis es das nächste Mal losgeschickt wird und nicht ankommt: eine halbe Minute oder länger.`,
    locked: (prop) => `${prop} gesperrt, und der Rest geht weiter. Lesen, warum, dann losmachen.`,
    release: (prop) => `${prop} wieder frei. Nur ein Mensch lässt es wieder mitmachen: freigeben.`,
    again: (prop) => `Freigegeben. ${prop} wieder in Betrieb.`,
    runs: (prop) => `Es geht wieder: ${prop} in Bewegung.`,
    done: () =>
      'Das war eine Störung von Anfang bis Ende. Niemand kam zu Schaden, und sie steht in der Aufzeichnung.',
  },
  stands: (prop, end) => `Freigegeben. ${prop} bei ${end}, darf wieder laufen.`,
  mustHome: (prop) => `Freigegeben. Niemand weiß, wo es steht (${prop}): zuerst fährt es in Grundstellung.`,
  jam: (prop) => `${prop} verklemmen`,
  free: (prop) => `${prop} losmachen`,
  read: 'Lesen, warum',
  sheet: 'Hingehen und freigeben',
  again: 'Noch einmal laufen lassen',
  over: 'Von vorn beginnen',
  mat: 'Auf die Matte treten',
  reset: 'Alles in Ordnung bringen',
  keeper: 'Wart sein',
  own: 'Eigenen Hof anlegen',
};
