// What the server answers, and the calls. The page works nothing out about pipes: it shows
// what is in these values and sends edits.

export interface Cite { book: string; kind: string; title?: string; at?: string; memory?: boolean; conflict?: string; over?: string }
interface Span { file: string; line: number; col: number; end: number }
/** placeOf is the one place that knows how a stretch of the file is written: line and columns
 *  from 1, line 0 for none. */
export const placeOf = (s: Span | undefined) => ({ line: s?.line ?? 0, col: s?.col ?? 0, end: s?.end ?? 0 })
export type Severity = 'error' | 'warning' | 'not checked' | 'note'
export interface Finding {
  severity: Severity; rule: string; on: { what: string; name?: string; segment: number }; at: Span
  message: string; got?: string; limit?: string; cites?: Cite[]; why?: string; try?: string; ask?: string
}
export interface Reason { kind: string; min: string; text: string; cites?: Cite[] }
export interface Piece { from: string; known: boolean; role: string; units: string; atLeast?: boolean; waterClosets: number; size: string }
export interface Run { name: string; joins: string; pieces: Piece[] }
export interface Vent {
  name: string; ends: string; required: string; size: string; units: string; length?: string; lengthKnown: boolean; reasons: Reason[] | null
}
export interface Fixture { run: string; kind: string; units: string; verdict: string; vented: string }
export interface Doc {
  job: { file: string; title: string; notes?: string[] }
  basis: { code: string; title: string; layers: { id: string; kind: string; title: string; invented?: boolean }[] | null }
  totals: { units: string; atLeast?: boolean; waterClosets: number; fixtures: number; errors: number; warnings: number; notChecked: number; notes: number }
  fixtures: Fixture[]; runs: Run[]; vents: Vent[]; findings: Finding[]; faults: Finding[]; caution: string
}
/** Entry is a key as it is written; rows are the items of a list that holds mappings. */
export interface Entry { name: string; line: number; text?: string; list?: string[]; keys?: Entry[]; rows?: Entry[] }
export interface Written { top: Entry[]; levels: Entry[]; runs: Entry[]; vents: Entry[]; walls: Entry[] }
export interface Answer { finding: number; path: string[]; label: string; example?: string; takes: string; words?: string[]; open?: boolean; edits?: Edit[] }
export type Point = [number, number]
/** Piece is a stretch of a leg between joins; From and To are along the run, in steps. */
export interface Stretch { a: Point; b: Point; from: number; to: number; known: boolean }
/** Hold is a leg that can be drawn longer: its end moves by step for each step of length. */
export interface Hold { heading: 'runs' | 'vents'; name: string; part: number; label: string; fixed: Point; end: Point; step: Point; steps: number; known: boolean; pieces: Stretch[] }
export interface WayTo { word: string; step: Point }
/** Picture is an SVG taken apart: its head with titles and style, and the elements of the sheet. */
export interface Picture { head: string; key: string; parts: string[] }
/** Drawing is the sheet that is worked on; says is why nothing is drawn of a job that is solved. */
export interface Drawing { svg: Picture; says?: string; wordless?: boolean; view: 'riser' | 'plan'; level?: string; holds: Hold[]; ways: WayTo[]; pipes: [number, number, number, number] }
export interface State extends Drawing {
  name: string; rev: string; text: string; result: Doc; said?: Finding[]; written: Written; answers: Answer[]; spare?: string; later?: boolean
  plans: string[]; lowest: string; undo: boolean; redo: boolean
}
export interface Key { name: string; say: string; takes: string; words?: string[]; open?: boolean; keys?: Key[] }
/** Forms are what each part of the file may say; walls is null where the format has none. */
export interface Forms { top: Key[]; levels: Key[]; runs: Key[]; vents: Key[]; walls: Key[] | null }
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
export interface Field { key: string; value?: string; list?: string[] }
export interface Edit {
  op: 'set' | 'remove' | 'add' | 'rename' | 'append'; path: string[]; value?: string; list?: string[]
  fields?: Field[]; items?: { value?: string; fields?: Field[] }[]; after?: string
}
export interface Fix {
  title: string; about: string; care?: string; cost?: string; legal?: string; changes?: string; reserve?: string; also: number; asks?: string[]; if?: boolean; text: string
}
export interface Fixes { changes: Fix[]; people: Undone[] }
/** Undone is a finding that no change cures, with what was tried and what that would bring. */
export interface Undone { about: string; advice?: string[]; decide?: string; tried?: { do: string; but: string }[]; untried?: number }
export interface Book { id: string; title: string; kind?: string; invented?: boolean }

// What differs in a drawing is sent, over one that is here.

interface Sent { head: string; key: string; base?: string; order?: number[]; fresh: string[] | null }
const have = new Map<string, Picture>()
let newest = ''

/** picture puts a drawing together from what was sent of it. */
function picture(p: Sent): Picture {
  const base = p.base ? have.get(p.base) : undefined
  if (p.base && !base) throw new Refused(0, 'a part of the drawing is lost: load the page anew')
  const fresh = p.fresh ?? []
  let i = 0
  const whole = { head: p.head, key: p.key, parts: base ? p.order!.map((k) => (k < 0 ? fresh[i++] : base.parts[k])) : fresh }
  if (p.key) {
    have.delete(p.key)
    have.set(p.key, whole)
    for (const k of have.keys()) { if (have.size <= 8) break; have.delete(k) }
    newest = p.key
  }
  return whole
}

/** pictured does so in whatever answer holds a drawing. */
function pictured<T>(said: T): T {
  const d = said as { svg?: unknown } | null | undefined
  if (d && typeof d === 'object' && d.svg) d.svg = picture(d.svg as Sent)
  return said
}

/** An answer that is not what was asked for, in words. status 0: nobody answered. */
export class Refused extends Error {
  constructor(readonly status: number, words: string, readonly body?: unknown) { super(words) }
}

async function call<T>(method: string, path: string, body?: unknown, how: RequestInit = {}): Promise<T> {
  let r: Response
  try {
    r = await fetch(path, {
      ...how, method, headers: { 'Has-Drawing': newest, ...(body !== undefined && { 'Content-Type': 'application/json' }) },
      body: body === undefined ? undefined : JSON.stringify(body),
    })
  } catch {
    throw new Refused(0, 'the program does not answer')
  }
  const said = r.headers.get('Content-Type')?.startsWith('application/json') ? pictured(await r.json()) : undefined
  if (!r.ok) throw new Refused(r.status, (said as { error?: string })?.error ?? `answer ${r.status}`, said)
  return said as T
}

/** A Change is a new state, which the disk may not have yet: end tells when it has. */
export interface Change { state: State; end: Promise<void> }

/** send makes a change. The answer comes in lines: the state, the drawing of a large job
 *  when it is made, and that the disk has it. */
async function send(method: string, path: string, body: unknown, drawn: (d: Drawing, rev: string) => void): Promise<Change> {
  let r: Response
  try {
    r = await fetch(path, { method, headers: { 'Content-Type': 'application/json', 'Accept': 'application/x-ndjson', 'Has-Drawing': newest }, body: JSON.stringify(body) })
  } catch {
    throw new Refused(0, 'the program does not answer')
  }
  if (!r.ok || !r.body) {
    const said = pictured(await r.json().catch(() => undefined) as { error?: string } | undefined)
    throw new Refused(r.status, said?.error ?? `answer ${r.status}`, said)
  }
  const reader = r.body.getReader(), decoder = new TextDecoder()
  let rest = ''
  const line = async (): Promise<string | null> => {
    const parts = [rest]
    for (let at = rest.indexOf('\n'); ; ) {
      if (at >= 0) {
        const last = parts[parts.length - 1]
        rest = last.slice(at + 1)
        parts[parts.length - 1] = last.slice(0, at)
        return parts.join('')
      }
      const { done, value } = await reader.read()
      if (done) return null
      const text = decoder.decode(value, { stream: true })
      parts.push(text)
      at = text.indexOf('\n')
    }
  }
  const gone = () => new Refused(0, 'the program does not answer')
  const first = await line().catch(() => null)
  if (first === null) throw gone()
  const state = pictured(JSON.parse(first) as State)
  const end = (async () => {
    for (;;) {
      const next = await line().catch(() => null)
      if (next === null) throw gone()
      const said = JSON.parse(next) as { drawing?: Drawing; rev?: string; saved?: string; error?: string; status?: number }
      if (said.drawing) drawn(pictured(said.drawing), said.rev ?? '')
      else if (said.saved) return
      else throw new Refused(said.status ?? 500, said.error ?? '')
    }
  })()
  return { state, end }
}

/** Look is what is to be seen of a job: the riser, or the plan of a level. */
export interface Look { view: 'riser' | 'plan'; level: string }
const seen = (l: Look) => (l.view === 'plan' ? '?' + new URLSearchParams({ view: 'plan', level: l.level }).toString() : wordless ? '?words=no' : '')
/** wordless: the riser is so far off that its words could not be read, and is wanted without. */
let wordless = false
export const leaveWordsOut = (out: boolean) => { wordless = out }
type Drawn = (d: Drawing, rev: string) => void

const job = (name: string) => '/api/job/' + encodeURIComponent(name)

export interface Place { kind?: string; room?: string; as: string; joins: string; at: string; level: string; heads?: string; mirror?: string; place?: string; stack?: boolean }

/** asks writes what is asked of a sheet behind its address. */
function asks(of: { level?: string; of?: string }): string {
  const said = Object.entries(of).filter(([, v]) => v) as [string, string][]
  return said.length ? '?' + new URLSearchParams(said).toString() : ''
}

export const api = {
  start: () => call<{ first: string; folder: string; caution: string; views: { name: string; title: string }[] }>('GET', '/api/start'),
  jobs: () => call<{ folder: string; jobs: JobEntry[] }>('GET', '/api/jobs'),
  create: (b: { name: string; title: string; code: string; floors?: number; under?: string; metric?: boolean; drain?: string; street?: string; fixtures?: string[]; text?: string }) => call<State>('POST', '/api/jobs', b),
  job: (name: string, look: Look) => call<State>('GET', job(name) + seen(look)),
  put: (name: string, look: Look, drawn: Drawn, rev: string, text: string) => send('PUT', job(name) + seen(look), { rev, text }, drawn),
  /** last saves a text while the page is closed; nobody waits for the answer. */
  last: (name: string, rev: string, text: string) => call<State>('PUT', job(name), { rev, text }, { keepalive: true }),
  edit: (name: string, look: Look, drawn: Drawn, rev: string, edits: Edit[]) => send('POST', job(name) + '/edit' + seen(look), { rev, edits }, drawn),
  length: (name: string, look: Look, drawn: Drawn, rev: string, of: { heading: string; name: string; part: number; length: string }) => send('POST', job(name) + '/length' + seen(look), { rev, ...of }, drawn),
  step: (name: string, look: Look, drawn: Drawn, rev: string, by: number) => send('POST', job(name) + '/step' + seen(look), { rev, by }, drawn),
  room: (name: string, look: Look, drawn: Drawn, rev: string, place: Place) => send('POST', job(name) + '/room' + seen(look), { rev, place }, drawn),
  copy: (name: string, look: Look, drawn: Drawn, rev: string, place: Place) => send('POST', job(name) + '/copy' + seen(look), { rev, place }, drawn),
  aside: (name: string, text: string, look: Look) => call<State>('POST', job(name) + '/aside' + seen(look), { text }),
  solve: (name: string, text: string, look: Look) => call<State>('POST', '/api/solve' + seen(look), { name, text, code: '' }),
  versions: (name: string) => call<{ versions: Version[] }>('GET', job(name) + '/versions'),
  version: (name: string, rev: string) => call<{ text: string }>('GET', job(name) + '/versions/' + encodeURIComponent(rev)),
  why: (name: string, thing: string) => call<WhyPage>('GET', job(name) + '/why/' + encodeURIComponent(thing)),
  walk: (name: string, fixture: string) => call<{ steps: Step[] }>('GET', job(name) + '/walk/' + encodeURIComponent(fixture)),
  fixes: (name: string) => call<Fixes>('GET', job(name) + '/fix'),
  forms: () => call<{ keys: Forms; rooms: Room[] }>('GET', '/api/forms'),
  kinds: () => call<Kind[]>('GET', '/api/kinds'),
  books: () => call<{ books?: Book[] } | Book[]>('GET', '/api/books'),
  outURL: (name: string, out: string, of: { level?: string; of?: string } = {}) => job(name) + '/file/' + out + asks(of),
  /** text is a list to take away, as text. */
  text: async (name: string, out: string, of: string, signal: AbortSignal) => {
    const r = await fetch(job(name) + '/file/' + out + asks({ of }), { signal })
    if (!r.ok) throw new Refused(r.status, ((await r.json().catch(() => ({}))) as { error?: string }).error ?? `answer ${r.status}`)
    return r.text()
  },
  pages: (name: string, what: string, of: { level?: string; of?: string }, signal: AbortSignal) => call<{ pages: string[] }>('GET', job(name) + '/pages/' + what + asks(of), undefined, { signal }),
}
