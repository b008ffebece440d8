// What the server answers, and the calls. The page works nothing out about pipes: it shows
// what is in these values and sends edits.

export interface Cite { book: string; kind: string; title?: string; at?: string; memory?: boolean; conflict?: string; over?: string }
export interface Span { File: string; Line: number; Col: number; EndCol: number }
export type Severity = 'error' | 'warning' | 'not checked' | 'note'
export interface Finding {
  severity: Severity; rule: string; on: { what: string; name?: string; segment: number }; at: Span
  message: string; got?: string; limit?: string; cites?: Cite[]; why?: string; try?: string; ask?: string
}
export interface Reason { kind: string; min: string; text: string; cites?: Cite[] }
export interface Piece {
  segments: number[]; from: string; to: string; known: boolean; role: string; lies: string; units: string; atLeast?: boolean
  waterClosets: number; slope?: string; required: string; size: string; given?: boolean; existing?: boolean; governs: Reason
}
export interface Run { name: string; joins: string; pieces: Piece[] }
export interface Vent {
  name: string; ends: string; required: string; size: string; given?: boolean; units: string; largestDrain: string
  length?: string; lengthKnown: boolean; serves: string[] | null; reasons: Reason[] | null
}
export interface Fixture {
  run: string; kind: string; room?: string; level?: string; units: string; listed: boolean; trap?: string; cites?: Cite[]
  verdict: string; vented: string; method: string; vent?: string; arm?: string; armLimit?: string
}
export interface Doc {
  job: { file: string; title: string; notes?: string[] }
  basis: { code: string; title: string; layers: { id: string; kind: string; title: string; invented?: boolean }[] | null }
  totals: { units: string; atLeast?: boolean; waterClosets: number; fixtures: number; errors: number; warnings: number; notChecked: number; notes: number }
  fixtures: Fixture[]; runs: Run[]; vents: Vent[]; findings: Finding[]; faults: Finding[]; caution: string
  looked: { rule: string; looked: number; faults: number; unknown: number }[] | null
}
export interface Entry { name: string; line: number; text?: string; list?: string[]; keys?: Entry[] }
export interface Written { top: Entry[]; levels: Entry[]; runs: Entry[]; vents: Entry[] }
export interface Answer { finding: number; path: string[]; label: string; example?: string; takes: string; words?: string[]; open?: boolean }
export interface State {
  name: string; rev: string; text: string; result: Doc; svg: string; said?: Finding[]; written: Written; answers: Answer[]; spare?: string; later?: boolean
}
export interface Key { name: string; say: string; takes: string; words?: string[]; open?: boolean; keys?: Key[] }
export interface Forms { top: Key[]; levels: Key[]; runs: Key[]; vents: Key[] }
export interface Room { kind: string; say: string }
export interface Kind { name: string; plural: string; also: string[] | null; tag: string }
export interface Why {
  run: string; segment: number; role: string; roleWhy: string; lies: string; units: string; atLeast?: boolean; waterClosets: number
  slope?: string; required: string; size: string; given: boolean; reasons: Reason[] | null; tableAlone?: string; spare?: string; next?: string[]
  switchedOff?: Cite[]
}
export interface WhyPage {
  run: string; pieces?: Why[]; trap?: string; vent?: Vent; findings: Finding[]
  readings?: { method: string; vent?: string; holds: boolean; fails?: Finding[]; asks?: Finding[]; cite: Cite }[]
}
export interface Step {
  where: string; run: string; segment: number; role: string; in?: string[]; units: string; waterClosets: number; size: string
  length?: string; stepUp?: string; spare?: string; cites?: Cite[]
}
export interface JobEntry { name: string; title: string; changed: string; bytes: number }
export interface Version { rev: string; saved: string; bytes: number }
export interface Edit {
  op: 'set' | 'remove' | 'add' | 'rename' | 'append'; path: string[]; value?: string; list?: string[]
  fields?: { key: string; value?: string; list?: string[] }[]; after?: string
}
export interface Fix { title: string; about: string; care?: string; cost?: string; also: number; asks?: string[]; text: string }
export interface Book { id: string; title: string; kind?: string }

/** An answer that is not what was asked for, in words. status 0: nobody answered. */
export class Refused extends Error {
  constructor(readonly status: number, words: string, readonly body?: unknown) { super(words) }
}

async function call<T>(method: string, path: string, body?: unknown, keepalive = false): Promise<T> {
  let r: Response
  try {
    r = await fetch(path, {
      method, keepalive, headers: body === undefined ? {} : { 'Content-Type': 'application/json' },
      body: body === undefined ? undefined : JSON.stringify(body),
    })
  } catch {
    throw new Refused(0, 'the program does not answer')
  }
  const said = r.headers.get('Content-Type')?.startsWith('application/json') ? await r.json() : undefined
  if (!r.ok) throw new Refused(r.status, (said as { error?: string })?.error ?? `answer ${r.status}`, said)
  return said as T
}

const job = (name: string) => '/api/job/' + encodeURIComponent(name)

export interface Place { kind?: string; room?: string; as: string; joins: string; at: string; level: string; heads?: string; mirror?: string; place?: string }

export const api = {
  start: () => call<{ first: string; folder: string; caution: string; views: { name: string; title: string }[] }>('GET', '/api/start'),
  jobs: () => call<{ folder: string; jobs: JobEntry[] }>('GET', '/api/jobs'),
  create: (b: { name: string; title: string; code: string; floors?: number; fixtures?: string[]; text?: string }) => call<State>('POST', '/api/jobs', b),
  job: (name: string) => call<State>('GET', job(name)),
  put: (name: string, rev: string, text: string, keepalive = false) => call<State>('PUT', job(name), { rev, text }, keepalive),
  edit: (name: string, rev: string, edits: Edit[]) => call<State>('POST', job(name) + '/edit', { rev, edits }),
  room: (name: string, rev: string, place: Place) => call<State>('POST', job(name) + '/room', { rev, place }),
  copy: (name: string, rev: string, place: Place) => call<State>('POST', job(name) + '/copy', { rev, place }),
  solve: (name: string, text: string, code = '') => call<State>('POST', '/api/solve', { name, text, code }),
  versions: (name: string) => call<{ versions: Version[] }>('GET', job(name) + '/versions'),
  version: (name: string, rev: string) => call<{ text: string }>('GET', job(name) + '/versions/' + encodeURIComponent(rev)),
  riser: (name: string) => call<{ rev: string; svg: string }>('GET', job(name) + '/riser'),
  why: (name: string, thing: string) => call<WhyPage>('GET', job(name) + '/why/' + encodeURIComponent(thing)),
  walk: (name: string, fixture: string) => call<{ steps: Step[] }>('GET', job(name) + '/walk/' + encodeURIComponent(fixture)),
  fixes: (name: string) => call<Fix[]>('GET', job(name) + '/fix'),
  forms: () => call<{ keys: Forms; rooms: Room[] }>('GET', '/api/forms'),
  kinds: () => call<Kind[]>('GET', '/api/kinds'),
  books: () => call<{ books?: Book[] } | Book[]>('GET', '/api/books'),
  outURL: (name: string, out: string) => job(name) + '/file/' + out,
  pages: (name: string, what: string, level = '') => call<{ pages: string[] }>('GET', job(name) + '/pages/' + what + '?' + new URLSearchParams({ level }).toString()),
}
