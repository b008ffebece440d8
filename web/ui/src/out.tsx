// What can be taken away, seen before it is taken; and the versions that are kept.
import { signal } from '@preact/signals'
import { useEffect, useLayoutEffect, useRef } from 'preact/hooks'
import { api, Version } from './api'
import { Choice, Field } from './parts'
import { levels, look, preview, setText, state, tell, views } from './state'

const view = signal('riser')
const level = signal('')
const shown = signal<{ what: string; pages: string[] } | null>(null)
const why = signal('')

/** fetchPages asks what something will look like on paper; what was asked for before is no
 *  longer wanted. */
let asked = new AbortController()
async function fetchPages(name: string, what: string, level = '') {
  asked.abort()
  const mine = asked = new AbortController()
  why.value = ''
  try {
    const { pages } = await api.pages(name, what, level, mine.signal)
    if (mine === asked) shown.value = { what: what === 'set' ? 'permit set' : what, pages }
  } catch (e) {
    if (mine !== asked) return
    shown.value = null
    why.value = (e as Error).message
  }
}

export function Out() {
  const s = state.value
  const rev = s?.rev
  useLayoutEffect(() => {
    if (s) void fetchPages(s.name, view.value, view.value === 'plan' ? level.value : '')
  }, [rev, view.value, level.value])
  if (!s) return null
  const file = (out: string, words: string) => <a class="button" href={api.outURL(s.name, out)} download>{words}</a>
  return (
    <section aria-label="Take away">
      <header class="pane-head"><h2>Take away</h2></header>
      <h3>Drawing</h3>
      <div class="pair">
        <Field label="View">
          {(id) => (
            <select id={id} value={view.value} onChange={(e) => { view.value = e.currentTarget.value }}>
              {views.value.map((v) => <option key={v.name} value={v.name}>{v.title}</option>)}
            </select>
          )}
        </Field>
        {view.value === 'plan' && levels().length > 0 && <Choice label="Of level" value={level.value} of={levels()} none="All" onPick={(v) => { level.value = v }} />}
      </div>
      <div class="row">{file('riser.pdf', 'Riser, PDF')}{file('riser.svg', 'Riser, SVG')}{file('riser.dxf', 'Riser, DXF')}</div>
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
          {shown.value.pages.map((p, i) => <Page key={i} svg={p} words={`${shown.value!.what}, sheet ${i + 1} of ${shown.value!.pages.length}`} />)}
        </div>
      )}
      <p class="caution">{s.result.caution}</p>
    </section>
  )
}

/** Page shows a sheet apart from the page, so that no name or style of one meets the other. */
function Page({ svg, words }: { svg: string; words: string }) {
  const at = useRef<HTMLDivElement>(null)
  useEffect(() => {
    const host = at.current
    if (host) (host.shadowRoot ?? host.attachShadow({ mode: 'open' })).innerHTML = svg
  }, [svg])
  return <div class="sheet-of" ref={at} role="img" aria-label={words} />
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
            <span>replaced {new Date(v.saved).toLocaleString()}, {v.bytes} bytes</span>
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
