/** The cautions in German: each says what its English one says, no less. */
export const RED_BUTTON =
  'ALLES STOPP auf der Seite ist eine Bequemlichkeit und kein Not-Halt. Ein Not-Halt ist ein fest verdrahteter roter Knopf, der Motorstrom und Luft trennt, was auch immer irgendein Rechner, eine Platine oder ein Netz tut (ISO 13850, IEC 60204-1). Einen dort anbringen, wo ihn erreicht, wer den Hof beaufsichtigt, und ihn vor jeder Nacht zur Probe drücken.';

export const CAUTIONS: readonly string[] = [
  RED_BUTTON,
  'Dusklatch ist Software ohne sicherheitstechnische Einstufung. Nie darf sie das Einzige sein, was zwischen einem Menschen und einem bewegten Teil steht.',
  'Schutzvorrichtungen und Abstand: Gäste von allem fernhalten, was sich bewegt, mit einem Zaun, nicht nur mit einem Seil. Auch die eigenen Leute draußen halten, solange der Hof offen ist.',
  'Gespeicherte Luft und Federn: ein Zylinder kann sich bewegen, solange Druck dahinter steht, und eine Feder, solange sie gespannt ist. Luft ablassen und Feder entspannen, bevor eine Hand hineingreift.',
  'Netzspannung und nasser Boden: nur Leitungen, Stecker und Kästen, die für draußen gemacht sind, hinter einem Schutzschalter, der bei Fehlerstrom gegen Erde auslöst (FI, RCD). Wo es geht, Kleinspannung verwenden.',
  'Heben und Quetschen: was hängt oder aufsteht, muss von etwas gehalten werden, das ohne Strom hält. Wo Teile sich schließen, Platz für eine Hand lassen oder die Lücke für Hände verschließen.',
  'Nebel und Gedränge: Nebel verbirgt Stufen, Kanten und Menschen und macht Böden nass. Wege und Ausgänge beleuchtet und frei halten, und den Nebel anhalten, wenn das Gedränge dicht ist.',
  'Örtliche Vorschriften und zugelassene Elektrofachkräfte entscheiden. Wo sie und dieses Programm sich unterscheiden, haben sie recht.',
];
