// The job that is open, and everything that changes it. Changes go through one queue, so
// that each is made from the text that the one before it left; nothing is overwritten
// that was not seen.
import { batch, computed, signal } from '@preact/signals'
import { api, Book, Change, Drawing, Edit, Entry, Forms, Hold, JobEntry, Key, Kind, Look, Picture, Refused, Room, State } from './api'

export type Panel = 'pipes' | 'add' | 'findings' | 'questions' | 'file' | 'out'
export type Saving = 'saved' | 'typing' | 'saving' | 'offline' | 'conflict'

export const folder = signal('')
export const caution = signal('')
export const jobs = signal<JobEntry[] | null>(null)
export const state = signal<State | null>(null)
export const panel = signal<Panel>('pipes')
export const picked = signal('')
/** pointed is the finding whose balloon was touched last, -1 for none. */
export const pointed = signal(-1)
export const walkOf = signal<string | null>(null)
export const saving = signal<Saving>('saved')
export const conflict = signal<{ mine: string; theirs: State } | null>(null)
export const said = signal<{ words: string; bad: boolean } | null>(null)
export const preview = signal<{ svg: Picture; says?: string; pipes: Drawing['pipes']; title: string; text: string } | null>(null)
export const forms = signal<{ keys: Forms; rooms: Room[] } | null>(null)
export const kinds = signal<Kind[]>([])
export const books = signal<Book[]>([])
export const views = signal<{ name: string; title: string }[]>([])
export const redraws = signal(0)

/** look is the sheet that is worked on. */
export const look = signal<Look>({ view: 'riser', level: '' })

/** The line of texts lies with the server, so that it outlives this window. */
export const canUndo = computed(() => state.value?.undo ?? false)
export const canRedo = computed(() => state.value?.redo ?? false)

/** typed is text in the editor that is not on its way to the file yet. */
let typed: string | null = null
let timer = 0
/** The editor pane listens here for texts that did not come from it. */
export const showText = signal<{ text: string } | null>(null)

let chain: Promise<unknown> = Promise.resolve()
function queue<T>(f: () => Promise<T>): Promise<T> {
  const p = chain.then(f, f)
  chain = p.catch(() => undefined)
  return p
}

export function tell(words: string, bad = false) {
  said.value = { words, bad }
  if (!bad) {
    const mine = said.value
    setTimeout(() => { if (said.value === mine) said.value = null }, 6000)
  }
}

/** accept takes a new state in. unsaved says that the disk does not have it yet. */
function accept(s: State, unsaved = false) {
  batch(() => {
    const before = state.value
    // A text that cannot be read has no drawing, and that of a large job comes later: the
    // last one stays until then, and nothing of it can be taken hold of. Of a job that says why
    // it is not drawn nothing stays.
    if (!s.svg.head && !s.says && before?.name === s.name) { s.svg = before.svg; s.pipes = before.pipes; s.wordless = before.wordless }
    if (!s.later) look.value = { view: s.view, level: s.level ?? '' }
    state.value = s
    preview.value = null
    if (typed === null) {
      saving.value = unsaved ? 'saving' : 'saved'
      showText.value = { text: s.text }
    }
    if (picked.value && !thing(picked.value)) picked.value = ''
    redraws.value++
  })
}

/** drawn takes the drawing of a large job in, if that is still what is in the file. */
function drawn(d: Drawing, rev: string) {
  const now = state.value
  if (now?.rev === rev) state.value = { ...now, ...d, svg: d.svg.head ? d.svg : now.svg, wordless: d.wordless, later: false }
}

/** show asks for another sheet of the job: the riser, or the plan of a level. */
export function show(to: Look): Promise<unknown> {
  look.value = to
  return queue(async () => {
    const now = state.value
    if (!now) return
    try {
      const s = await api.job(now.name, to)
      if (s.rev === state.value?.rev && typed === null) state.value = s
      else if (state.value) state.value = { ...state.value, svg: s.svg, says: s.says, wordless: s.wordless, view: s.view, level: s.level, holds: [], ways: [] }
      look.value = { view: s.view, level: s.level ?? '' }
    } catch (e) { tell((e as Error).message, true) }
  })
}

let unsaved = 0

/** change runs one call that makes a new state, and looks after conflicts and silence. It is
 *  done when the state is there; the disk may have it a little later. */
async function change(mine: () => string, run: (s: State) => Promise<Change>): Promise<boolean> {
  const now = state.value
  if (!now || conflict.value) return false
  saving.value = 'saving'
  try {
    const c = await run(now)
    own.add(c.state.rev)
    accept(c.state, true)
    unsaved++
    c.end.then(() => {
      if (--unsaved === 0 && typed === null && saving.value === 'saving') saving.value = 'saved'
    }, async (e) => {
      unsaved--
      if (!(e instanceof Refused)) throw e
      if (e.status !== 409) {
        // It may or may not be in the file: what is here is typed anew.
        typed ??= c.state.text
        saving.value = 'offline'
        if (e.status !== 0) tell(e.message, true)
        clearTimeout(timer)
        timer = window.setTimeout(flush, 1000)
        return
      }
      const theirs = await api.job(now.name, look.value)
      if (conflict.value) return
      saving.value = 'conflict'
      conflict.value = { mine: typed ?? state.value?.text ?? c.state.text, theirs }
    })
    return true
  } catch (e) {
    if (!(e instanceof Refused)) throw e
    if (e.status === 409) {
      saving.value = 'conflict'
      conflict.value = { mine: mine(), theirs: e.body as State }
      return false
    }
    if (e.status === 0) saving.value = 'offline'
    else {
      saving.value = typed === null ? 'saved' : 'typing'
      tell(e.message, true)
    }
    return false
  }
}

/** type is called for every change in the text pane. */
export function type(text: string) {
  typed = text
  if (saving.value !== 'conflict') saving.value = 'typing'
  clearTimeout(timer)
  timer = window.setTimeout(flush, 150)
}

/** flush saves what has been typed. */
export function flush(): Promise<unknown> {
  clearTimeout(timer)
  if (typed === null) return chain
  return queue(async () => {
    const text = typed
    if (text === null) return
    typed = null
    const ok = await change(() => text, (s) => api.put(s.name, look.value, drawn, s.rev, text))
    if (!ok && saving.value === 'offline') {
      typed ??= text
      clearTimeout(timer)
      timer = window.setTimeout(flush, 1000)
    }
  })
}

/** turn makes a change after what was typed is on its way. */
async function turn(run: (s: State) => Promise<Change>, mine = () => state.value?.text ?? ''): Promise<boolean> {
  await flush()
  return queue(() => change(mine, run))
}

/** edit makes edits that keep the comments of the file. */
export const edit = (...edits: Edit[]) => turn((s) => api.edit(s.name, look.value, drawn, s.rev, edits))
export const setText = (text: string) => turn((s) => api.put(s.name, look.value, drawn, s.rev, text), () => text)
export const setLength = (h: Hold, length: string) => turn((s) => api.length(s.name, look.value, drawn, s.rev, { heading: h.heading, name: h.name, part: h.part, length }))
export const makeRoom = (place: Parameters<typeof api.room>[4]) => turn((s) => api.room(s.name, look.value, drawn, s.rev, place))
export const copyRoom = (place: Parameters<typeof api.copy>[4]) => turn((s) => api.copy(s.name, look.value, drawn, s.rev, place))
export const undo = () => turn((s) => api.step(s.name, look.value, drawn, s.rev, -1))
export const redo = () => turn((s) => api.step(s.name, look.value, drawn, s.rev, 1))

/** settle ends a conflict: with mine saved over theirs, which stays a version, or with
 *  theirs, and mine one step of undo away. */
export async function settle(keepMine: boolean) {
  const c = conflict.value
  if (!c) return
  const mine = typed ?? c.mine
  typed = null
  clearTimeout(timer)
  batch(() => {
    conflict.value = null
    accept(c.theirs)
  })
  if (keepMine) await setText(mine)
  else if (mine !== c.theirs.text) {
    await queue(async () => {
      try { accept(await api.aside(c.theirs.name, mine, look.value)) } catch (e) { tell((e as Error).message, true) }
    })
  }
}

/** own are the revs that came about here: to be told of them is no news. */
const own = new Set<string>()

/** outside looks at a file that changed while it is open here. */
function outside(name: string, rev: string) {
  void queue(async () => {
    const now = state.value
    if (!now || now.name !== name || now.rev === rev || own.has(rev) || conflict.value) return
    let s: State
    try { s = await api.job(name, look.value) } catch { return }
    if (s.rev === state.value?.rev) return
    if (typed !== null) {
      clearTimeout(timer)
      saving.value = 'conflict'
      conflict.value = { mine: typed, theirs: s }
      return
    }
    accept(s)
    tell('The file was changed outside this window; what it says now is shown. Undo brings back what was here.')
  })
}

export function listen() {
  const events = new EventSource('/api/events')
  events.addEventListener('changed', (e) => {
    const c = JSON.parse((e as MessageEvent).data) as { name: string; rev: string }
    outside(c.name, c.rev)
  })
  // A page that comes back asks anew: a message may have been missed.
  const look = () => { if (state.value) outside(state.value.name, '') }
  events.addEventListener('open', look)
  document.addEventListener('visibilitychange', () => { if (document.visibilityState === 'visible') look() })
  addEventListener('pagehide', () => {
    const s = state.value
    if (s && typed !== null && !conflict.value) void api.last(s.name, s.rev, typed).catch(() => undefined)
  })
  addEventListener('beforeunload', (e) => { if (conflict.value || saving.value === 'offline') e.preventDefault() })
}

export async function open(name: string) {
  await flush()
  await queue(async () => {
    try {
      const s = await api.job(name, { view: 'riser', level: '' })
      batch(() => {
        picked.value = ''
        pointed.value = -1
        walkOf.value = null
        conflict.value = null
        typed = null
        accept(s)
        panel.value = s.result.fixtures.length > 0 || s.result.faults.length > 0 ? 'pipes' : 'add'
      })
      if (location.hash !== '#' + encodeURIComponent(name)) location.hash = encodeURIComponent(name)
      document.title = (s.result.job.title || name) + ' - Trapweir'
    } catch (e) {
      tell((e as Error).message, true)
      await list()
    }
  })
}

export async function list() {
  state.value = null
  document.title = 'Trapweir'
  try {
    const l = await api.jobs()
    batch(() => { jobs.value = l.jobs; folder.value = l.folder })
  } catch (e) { tell((e as Error).message, true) }
}

// Looking things up in what the file says.

const things = computed(() => {
  const all = new Map<string, { heading: 'runs' | 'vents'; entry: Entry }>()
  for (const entry of state.value?.written.vents ?? []) all.set(entry.name, { heading: 'vents', entry })
  for (const entry of state.value?.written.runs ?? []) all.set(entry.name, { heading: 'runs', entry })
  return all
})
export const thing = (name: string) => things.value.get(name) ?? null

export const get = (e: Entry | undefined, key: string) => e?.keys?.find((k) => k.name === key)
export const textOf = (e: Entry | undefined, key: string) => get(e, key)?.text ?? ''
export function listOf(e: Entry | undefined, key: string): string[] {
  const k = get(e, key)
  if (!k) return []
  if (k.list) return k.list
  return k.text ? k.text.split(/\s*,\s*/) : []
}
export const keyOf = (heading: 'runs' | 'vents' | 'levels' | 'top', name: string): Key | undefined =>
  forms.value?.keys[heading].find((k) => k.name === name)
export const names = () => state.value?.written.runs.map((r) => r.name) ?? []
export const levels = () => state.value?.written.levels.map((l) => l.name) ?? []
/** joining are the runs that join a pipe, and the vents that take off from it or end in it. */
export const joining = (on: string, but?: string) => [
  ...(state.value?.written.runs ?? []).filter((r) => textOf(r, 'joins') === on),
  ...(state.value?.written.vents ?? []).filter((v) => listOf(v, 'from').includes(on) || textOf(v, 'ends') === on),
].map((e) => e.name).filter((n) => n !== but)
export const roomsOf = () => [...new Set((state.value?.written.runs ?? []).map((r) => textOf(r, 'room')).filter((x) => x))]

/** free gives a name that nothing has yet. */
export function free(stem: string): string {
  const taken = new Set([...names(), ...roomsOf(), ...(state.value?.written.vents.map((v) => v.name) ?? [])])
  if (!taken.has(stem)) return stem
  for (let i = 2; ; i++) if (!taken.has(`${stem} ${i}`)) return `${stem} ${i}`
}

/** narrow screens show one thing at a time. */
const small = matchMedia('(max-width: 900px)')
export const narrow = signal(small.matches)
small.addEventListener('change', () => { narrow.value = small.matches })

/** large: the drawing has the whole of a narrow screen. */
export const large = signal(false)

export function pick(name: string, show = true) {
  batch(() => {
    picked.value = name
    preview.value = null
    if (show && name) panel.value = 'pipes'
  })
}
