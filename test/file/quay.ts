/** A small yard in which everything can run; each case changes one thing. */
export const QUAY = `
yard: {id: quay, title: The quay, timezone: Europe/Berlin, latitude: 53.5, longitude: 10}
nights: [{prepare: "0 15 * 10 *", open: "18:00", close: "21:00", quiet: "20:00", opens: by hand}]
circuits:
  dock: {volts: 230, breaker: 10 A, standing: 1 A}
tanks:
  shed: {volume: 20 l, cut-in: 6 bar, cut-out: 8 bar, working: 5 bar, delivery: 10 l/min, compressor: {circuit: dock, amps: 2 A}}
props:
  ferry:
    title: Ferry
    sensors: {near: end, far: end}
    home: near
    duty: {on: 50 %, over: 1 min}
    moves:
      out: {until: far, usual: 7 s, limit: 12 s, needs: [ferryman at rest], load: {dock: 3 A}}
      back: {until: near, usual: 7 s, limit: 12 s, needs: [ferryman at rest], load: {dock: 3 A}}
  ferryman:
    title: Ferryman
    moves:
      row: {lasts: 20 s, needs: [ferry.far], load: {dock: 2 A}}
      wave: {lasts: 3 s, needs: [not ferry.far]}
      call: {lasts: 3 s, loud: true}
  hatch:
    title: Hatch
    sensors: {shut: end}
    home: shut
    moves:
      slam: {lasts: 2 s, air: {shed: 20 l}}
      close: {until: shut, usual: 1 s, limit: 3 s}
  mat: {title: Mat, sensors: {step: plain}}
  gull: {title: Gull, moves: {cry: {lasts: 2 s, needs: [mat.step, ferry at home]}}}
scenes:
  crossing: {title: Crossing, steps: [ferry.out, ferryman.row, ferry.back]}
  hatch-goes: {title: Hatch, steps: [hatch.slam, hatch.close]}
  gull-cries: {title: Gull, steps: [gull.cry]}
  others: {title: Others, steps: [ferryman.wave, ferryman.call]}
`;
