// What can be taken away, seen before it is taken; and the versions that are kept.
import { signal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { api, Version } from './api'
import { Choice } from './parts'
import { levels, preview, setText, state, tell } from './state'

const views: [string, string][] = [['riser', 'Riser'], ['plan', 'Plan'], ['section', 'Long section'], ['strip', 'Way of the water'], ['schedule', 'Schedule']]
const view = signal('riser')
const level = signal('')
const shown = signal<{ what: string; pages: string[] } | null>(null)
const why = signal('')

/** look fetches what a file will look like: its sheets, or its table. */
async function look(what: string, url: string) {
  why.value = ''
  const r = await fetch(url).catch(() => null)
  const body = r?.headers.get('Content-Type')?.includes('json') ? await r.json() as { pages?: string[]; error?: string } : { pages: r?.ok ? [await r.text()] : undefined, error: undefined }
  if (r?.ok && body.pages) shown.value = { what, pages: body.pages }
  else { shown.value = null; why.value = body.error ?? 'the program does not answer' }
}

export function Out() {
  const s = state.value
  const rev = s?.rev
  useEffect(() => {
    if (s) void look('drawing', api.drawingURL(s.name, view.value, '', level.value))
  }, [rev, view.value, level.value])
  if (!s) return null
  const file = (out: string, words: string) => <a class="button" href={api.outURL(s.name, out)} download>{words}</a>
  return (
    <section aria-label="Take away">
      <header class="pane-head"><h2>Take away</h2></header>
      <h3>Drawing</h3>
      <div class="pair">
        <Choice label="View" value={view.value} of={views.map(([v]) => v)} onPick={(v) => { view.value = v }} />
        {view.value === 'plan' && levels().length > 0 && <Choice label="Of level" value={level.value} of={levels()} none="All" onPick={(v) => { level.value = v }} />}
      </div>
      <div class="row">{file('riser.pdf', 'Riser, PDF')}{file('riser.svg', 'Riser, SVG')}{file('riser.dxf', 'Riser, DXF')}</div>
      <h3>Permit set</h3>
      <p class="hint">All sheets with schedules and findings, for the building department.</p>
      <div class="row">
        <button onClick={() => look('permit set', api.outURL(s.name, 'set.json'))}>Show the sheets</button>
        {file('set.pdf', 'Permit set, PDF')}
      </div>
      <h3>Order</h3>
      <p class="hint">Pipe, fittings and what goes with them, counted from the drawing. Count again before you buy.</p>
      <div class="row">
        <button onClick={() => look('order', api.outURL(s.name, 'order.json'))}>Show the order</button>
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

/** Page shows a sheet as an image, so that nothing in it mixes with the page. */
function Page({ svg, words }: { svg: string; words: string }) {
  return <img alt={words} src={'data:image/svg+xml;charset=utf-8,' + encodeURIComponent(svg)} />
}

const versions = signal<Version[] | null>(null)

export function Versions() {
  const s = state.value
  const rev = s?.rev
  const asked = versions.value !== null
  const load = async () => {
    if (!s) return
    try { versions.value = (await api.versions(s.name)).versions } catch (e) { tell((e as Error).message, true) }
  }
  useEffect(() => { if (asked) void load() }, [rev])
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
                  const t = await api.solve(s.name, text)
                  preview.value = { svg: t.svg, title: `version replaced ${new Date(v.saved).toLocaleString()}`, text }
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
