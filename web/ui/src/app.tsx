// The page: a sheet with its title block, and one pane beside it.
import './style.css'
import { render } from 'preact'
import { signal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { api } from './api'
import { Add } from './add'
import { Conflict } from './conflict'
import { Editor } from './editor'
import { Jobs } from './jobs'
import { Keypad } from './keypad'
import { Findings, Pipes, Questions } from './lists'
import { Out, Versions } from './out'
import { Icon } from './parts'
import { Pipe } from './pipe'
import { Sheet } from './sheet'
import {
  books, canRedo, canUndo, caution, forms, kinds, large, list, listen, open, Panel, panel, pick, picked, preview, redo, redraws, said, saving, setText, state, undo, narrow, views, walkOf,
} from './state'
import { Walk } from './walk'

type Theme = 'auto' | 'light' | 'dark'
const theme = signal<Theme>((localStorage.getItem('theme') as Theme | null) ?? 'auto')
const dark = matchMedia('(prefers-color-scheme: dark)')
function paint() {
  document.documentElement.dataset.theme = theme.value === 'auto' ? (dark.matches ? 'dark' : 'light') : theme.value
}
dark.addEventListener('change', paint)
paint()

const savingWords = { saved: 'Saved', typing: 'Not saved yet', saving: 'Saving', offline: 'Not saved: the program does not answer', conflict: 'Not saved: changed elsewhere' }

function Head() {
  const s = state.value
  return (
    <header class="head">
      {s && <button class="skip" onClick={() => (document.querySelector('aside.pane') as HTMLElement).focus()}>Skip to the pane</button>}
      {s ? <button class="plain" onClick={() => { location.hash = '' }} aria-label="All jobs"><Icon name="back" /><span class="wide">Jobs</span></button> : <span class="mark">Trapweir</span>}
      {s && <h1>{s.result.job.title || s.name}</h1>}
      {s && <span class={'saving ' + saving.value} role="status">{savingWords[saving.value]}</span>}
      {s && <button class="plain" disabled={!canUndo.value} onClick={() => void undo()} aria-label="Undo"><Icon name="undo" /></button>}
      {s && <button class="plain" disabled={!canRedo.value} onClick={() => void redo()} aria-label="Redo"><Icon name="redo" /></button>}
      <button class={'plain theme' + (s ? ' wide' : '')} aria-label={`Light and dark: now ${theme.value === 'auto' ? 'as the system' : theme.value}`} onClick={() => {
        theme.value = theme.value === 'auto' ? (dark.matches ? 'light' : 'dark') : theme.value === 'dark' ? 'light' : 'dark'
        localStorage.setItem('theme', theme.value)
        paint()
      }}><Icon name="sun" /></button>
    </header>
  )
}

const tabs: [Panel, string, string][] = [
  ['pipes', 'Pipes', 'list'], ['add', 'Add', 'plus'], ['findings', 'Findings', 'warn'], ['questions', 'Questions', 'ask'], ['file', 'File', 'file'], ['out', 'Take away', 'out'],
]

function Tabs() {
  const t = state.value!.result.totals
  const count: Partial<Record<Panel, number>> = { findings: t.errors + t.warnings, questions: t.notChecked }
  return (
    <nav class="tabs" aria-label="Panes">
      {tabs.map(([p, words, icon]) => (
        <button key={p} aria-current={panel.value === p ? 'page' : undefined} onClick={() => { if (p === 'pipes' && panel.value === p) pick('', false); panel.value = p; large.value = false; if (narrow.value) walkOf.value = null }}>
          <Icon name={icon} /><span>{words}</span>{(count[p] ?? 0) > 0 && <span class="badge">{count[p]}</span>}
        </button>
      ))}
    </nav>
  )
}

/** Title is the title block: the totals, always in sight. */
function Title() {
  const s = state.value!
  const t = s.result.totals
  const out = s.result.runs.find((r) => r.joins === 'outlet')?.pieces.at(-1)
  // A text that cannot be read has no totals: dashes, not noughts.
  const read = s.result.runs.length > 0 || s.result.faults.length === 0
  const cell = (name: string, value: string | number, cls = '') => <div class={cls}><dt>{name}</dt><dd>{value}</dd></div>
  return (
    <dl class="title" aria-label="Totals" tabIndex={narrow.value ? 0 : undefined}>
      {cell(t.atLeast ? 'Units, or more' : 'Units', read ? t.units : '\u2013')}
      {cell('Water closets', read ? t.waterClosets : '\u2013')}
      {cell('Fixtures', read ? t.fixtures : '\u2013')}
      {cell(narrow.value ? 'Street' : 'To the street', read ? out?.size || 'not sized' : '\u2013')}
      {s.spare && (narrow.value ? cell('Units left', s.spare.replace(/ units? left of ([^;]*).*/, ' of $1'), 'spare') : cell('Room left there', s.spare, 'spare'))}
      {cell('Broken', t.errors, t.errors ? 'bad' : '')}
      {cell('To settle', t.warnings, t.warnings ? 'warn' : '')}
      {cell('Not checked', read ? t.notChecked : '\u2013', t.notChecked ? 'ask' : '')}
    </dl>
  )
}

function Pane() {
  switch (panel.value) {
    case 'pipes': return picked.value ? <Pipe /> : <Pipes />
    case 'add': return <Add />
    case 'findings': return <Findings />
    case 'questions': return <Questions />
    case 'file': return <section class="file" aria-label="File"><header class="pane-head"><h2>File</h2></header><Editor /><Versions /></section>
    case 'out': return <Out />
  }
}

/** Peek names what is picked while the drawing has the whole screen. */
function Peek() {
  const r = state.value!.result
  const size = r.runs.find((x) => x.name === picked.value)?.pieces.at(-1)?.size ?? r.vents.find((v) => v.name === picked.value)?.size ?? ''
  return (
    <div class="peek" role="status">
      <span><b>{picked.value}</b> {size}</span>
      <button onClick={() => { large.value = false; panel.value = 'pipes' }}>Open</button>
    </div>
  )
}

function Bench() {
  const p = preview.value
  return (
    <div class={'bench ' + panel.value + (narrow.value ? (large.value ? ' large' : !p && (panel.value === 'out' || panel.value === 'file') ? ' alone' : '') : '')}>
      <main class="work" data-rev={state.value!.rev} data-drawn={state.value!.later ? '' : state.value!.rev} data-redraws={redraws.value}>
        <Sheet />
        {p && (
          <div class="offer" role="status">
            <span>As it would be: {p.title}</span>
            <button onClick={() => { preview.value = null }}>Leave it</button>
            <button class="main" onClick={() => void setText(p.text)}>Do it</button>
          </div>
        )}
        {!narrow.value && <Walk />}
        {narrow.value && large.value && picked.value && <Peek />}
        <Title />
      </main>
      <aside tabIndex={-1} class={'pane ' + panel.value} aria-label="Pane">{narrow.value && walkOf.value !== null ? <Walk /> : <Pane />}</aside>
      <Tabs />
    </div>
  )
}

function App() {
  const s = said.value
  useEffect(() => { document.querySelector('aside.pane')?.scrollTo(0, 0) }, [panel.value, picked.value, narrow.value && walkOf.value !== null])
  return (
    <>
      <Head />
      {state.value ? <Bench /> : <Jobs />}
      <div class="said" role={s?.bad ? 'alert' : 'status'}>
        {s && <p class={s.bad ? 'bad' : ''}>{s.words} <button class="plain" aria-label="Close this message" onClick={() => { said.value = null }}><Icon name="close" /></button></p>}
      </div>
      <Keypad />
      <Conflict />
    </>
  )
}

// What was said is read by the time that something else is touched.
addEventListener('pointerdown', () => { if (said.value && !said.value.bad) said.value = null }, true)

addEventListener('keydown', (e) => {
  const inText = e.target instanceof HTMLElement && (e.target.closest('input, select, textarea, .cm-editor') !== null)
  if ((e.ctrlKey || e.metaKey) && !inText && !e.altKey) {
    const k = e.key.toLowerCase()
    if (k === 'z') { e.preventDefault(); void (e.shiftKey ? redo() : undo()) }
    if (k === 'y') { e.preventDefault(); void redo() }
  }
})

function route() {
  const name = decodeURIComponent(location.hash.slice(1))
  if (name) { if (state.value?.name !== name) void open(name) } else void list()
}
addEventListener('hashchange', route)

async function begin() {
  render(<App />, document.getElementById('app')!)
  try {
    const [s, f, k, b] = await Promise.all([api.start(), api.forms(), api.kinds(), api.books()])
    caution.value = s.caution
    views.value = s.views ?? []
    forms.value = f
    kinds.value = k
    books.value = Array.isArray(b) ? b : (b.books ?? [])
    if (!location.hash && s.first) history.replaceState(null, '', '#' + encodeURIComponent(s.first))
  } catch (e) { said.value = { words: (e as Error).message, bad: true } }
  listen()
  route()
}
void begin()
