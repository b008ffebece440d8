// What can be taken away, seen before it is taken; and the versions that are kept.
import { signal } from '@preact/signals'
import { useEffect, useLayoutEffect, useRef } from 'preact/hooks'
import { api, Version } from './api'
import { Choice, Dialog, Field, firstCapital, Icon } from './parts'
import { levels, look, preview, setText, state, tell, views } from './state'

/** outView is the drawing, or list, that is shown. */
export const outView = signal('riser')
const level = signal('')
const from = signal('')
const shown = signal<{ what: string; pages: string[]; text?: string } | null>(null)
const why = signal('')
/** near is the sheet that is looked at large. */
const near = signal(-1)
const scale = signal(1)

/** fetchPages asks what something will look like on paper; what was asked for before is no
 *  longer wanted. */
let asked = new AbortController()
async function fetchPages(name: string, what: string, of: { level?: string; of?: string } = {}) {
  asked.abort()
  const mine = asked = new AbortController()
  why.value = ''
  near.value = -1
  try {
    const s = what === 'fall'
      ? { what: 'list of fall and hangers', pages: [], text: await api.text(name, 'fall.txt', of.of ?? '', mine.signal) }
      : { what: what === 'set' ? 'permit set' : what, pages: (await api.pages(name, what, of, mine.signal)).pages }
    if (mine === asked) shown.value = s
  } catch (e) {
    if (mine !== asked) return
    shown.value = null
    why.value = (e as Error).message
  }
}

/** single are the views of one sheet, which a drawing program or a page of text takes. */
const single = (view: string, level: string) => view === 'riser' || view === 'section' || (view === 'plan' && level !== '')

export function Out() {
  const s = state.value
  const rev = s?.rev
  const view = outView.value
  const of = { level: view === 'plan' ? level.value : '', of: view === 'section' || view === 'strip' || view === 'fall' ? from.value : '' }
  useLayoutEffect(() => { if (s) void fetchPages(s.name, view, of) }, [rev, view, of.level, of.of])
  if (!s) return null
  const file = (out: string, words: string, q = {}) => <a class="button" href={api.outURL(s.name, out, q)} download>{words}</a>
  const title = view === 'fall' ? 'Fall and hangers' : (views.value.find((v) => v.name === view)?.title ?? view)
  return (
    <section aria-label="Take away">
      <header class="pane-head"><h2>Take away</h2></header>
      <h3>Drawing</h3>
      <div class="pair">
        <Field label="View">
          {(id) => (
            <select id={id} value={view} onChange={(e) => { outView.value = e.currentTarget.value }}>
              {views.value.map((v) => <option key={v.name} value={v.name}>{v.title}</option>)}
              <option value="fall">Fall and hangers</option>
            </select>
          )}
        </Field>
        {view === 'plan' && levels().length > 0 && <Choice label="Of level" value={level.value} of={s.plans.filter((l) => l)} words={{ below: 'below the floor' }} none="All" onPick={(v) => { level.value = v }} />}
        {(view === 'section' || view === 'strip' || view === 'fall') && <Choice label="From" value={from.value} of={s.result.fixtures.map((f) => f.run)} none="The farthest fixture" onPick={(v) => { from.value = v }} />}
      </div>
      <div class="row">
        {view === 'fall' ? file('fall.txt', `${title}, text`, of) : file(view + '.pdf', `${title}, PDF`, of)}
        {single(view, of.level) && file(view + '.svg', `${title}, SVG`, of)}
        {single(view, of.level) && file(view + '.dxf', `${title}, DXF`, of)}
      </div>
      <h3>Permit set</h3>
      <p class="hint">All sheets with schedules and findings, for the building department.</p>
      <div class="row">
        <button onClick={() => fetchPages(s.name, 'set')}>Show the sheets</button>
        {file('set.pdf', 'Permit set, PDF')}
      </div>
      <h3>Order</h3>
      <p class="hint">Pipe, fittings and what goes with them, counted from the drawing. Count again before you buy.</p>
      <div class="row">
        <button onClick={() => fetchPages(s.name, 'order')}>Show the order</button>
        {file('order.xlsx', 'Order, XLSX')}{file('order.csv', 'Order, CSV')}{file('order.pdf', 'Order, PDF')}
      </div>
      {why.value && <p role="status" class="blank">{why.value}</p>}
      {shown.value && (
        <div class="pages" aria-label={`What the ${shown.value.what} looks like`} role="group">
          <h3>{`What the ${shown.value.what} looks like`}</h3>
          {shown.value.text !== undefined && <button onClick={() => { near.value = 0 }}>Look at it large</button>}
          {shown.value.text !== undefined && <pre class="listing" tabIndex={0} aria-label={shown.value.what}>{shown.value.text}</pre>}
          {shown.value.pages.map((p, i) => (
            <button key={i} class="sheet-of" aria-label={`${shown.value!.what}, sheet ${i + 1} of ${shown.value!.pages.length}: look at it large`} onClick={() => { scale.value = 1; near.value = i }}>
              <Page svg={p} />
            </button>
          ))}
        </div>
      )}
      {shown.value?.text !== undefined && near.value >= 0 && (
        <Dialog title={title} class="paper" onClose={() => { near.value = -1 }}><pre class="listing" tabIndex={0} aria-label={title}>{shown.value.text}</pre></Dialog>
      )}
      {shown.value && near.value >= 0 && near.value < shown.value.pages.length && <Large pages={shown.value.pages} what={shown.value.what} />}
      <p class="caution">{s.result.caution}</p>
    </section>
  )
}

/** Large shows one sheet as large as the screen, or larger. */
function Large({ pages, what }: { pages: string[]; what: string }) {
  const i = near.value
  return (
    <Dialog title={firstCapital(what) + (pages.length > 1 ? `, sheet ${i + 1} of ${pages.length}` : '')} class="paper" onClose={() => { near.value = -1 }}>
      <div class="row">
        {pages.length > 1 && <button disabled={i === 0} aria-label="The sheet before" onClick={() => { near.value = i - 1 }}><Icon name="back" /> <span class="wide">Before</span></button>}
        {pages.length > 1 && <button disabled={i === pages.length - 1} aria-label="Next sheet" onClick={() => { near.value = i + 1 }}><span class="wide">Next</span> <Icon name="next" /></button>}
        <button aria-label="Larger" disabled={scale.value >= 4} onClick={() => { scale.value *= 1.5 }}><Icon name="plus" /></button>
        <button aria-label="Smaller" disabled={scale.value <= 1} onClick={() => { scale.value = Math.max(1, scale.value / 1.5) }}><Icon name="minus" /></button>
      </div>
      <div class="sheet-large" tabIndex={0} role="img" aria-label={`${what}, sheet ${i + 1} of ${pages.length}`}>
        <div style={{ width: `${Math.round(100 * scale.value)}%` }}><Page svg={pages[i]} /></div>
      </div>
    </Dialog>
  )
}

/** Page shows a sheet apart from the page, so that no name or style of one meets the other. */
function Page({ svg }: { svg: string }) {
  const at = useRef<HTMLSpanElement>(null)
  useLayoutEffect(() => {
    const host = at.current
    if (host) (host.shadowRoot ?? host.attachShadow({ mode: 'open' })).innerHTML = svg
  }, [svg])
  return <span class="leaf" ref={at} />
}

const versions = signal<Version[] | null>(null)

export function Versions() {
  const s = state.value
  const rev = s?.rev
  const wanted = versions.value !== null
  const load = async () => {
    if (!s) return
    try { versions.value = (await api.versions(s.name)).versions } catch (e) { tell((e as Error).message, true) }
  }
  useEffect(() => { if (wanted) void load() }, [rev])
  if (!s) return null
  return (
    <details class="versions" onToggle={(e) => { if (e.currentTarget.open) void load(); else versions.value = null }}>
      <summary>Earlier versions</summary>
      <ul>
        {(versions.value ?? []).map((v) => (
          <li key={v.rev + v.saved}>
            <span>As it was until {new Date(v.saved).toLocaleString()}</span>
            <span class="row">
              <button onClick={async () => {
                try {
                  const { text } = await api.version(s.name, v.rev)
                  const t = await api.solve(s.name, text, look.value)
                  preview.value = { svg: t.svg, says: t.says, pipes: t.pipes, title: `version replaced ${new Date(v.saved).toLocaleString()}`, text }
                } catch (e) { tell((e as Error).message, true) }
              }}>Show it</button>
              <button onClick={async () => {
                try {
                  const { text } = await api.version(s.name, v.rev)
                  if (await setText(text)) tell('The earlier version is open again. Undo goes back to the later one.')
                } catch (e) { tell((e as Error).message, true) }
              }}>Open it again</button>
            </span>
          </li>
        ))}
        {versions.value?.length === 0 && <li>None yet: each save keeps what it replaces.</li>}
      </ul>
    </details>
  )
}
