// The jobs of the folder, and a new one.
import { signal } from '@preact/signals'
import { api } from './api'
import { isCode, titles } from './keys'
import { Length } from './keypad'
import { Choice, Dialog, Icon, Words } from './parts'
import { books, caution, folder, jobs, open, tell } from './state'

const sought = signal('')
const making = signal(false)
const fresh = signal({ title: '', code: '', floors: '1', under: 'crawl space', units: '', drain: '', street: '' })
const many = 200

export function Jobs() {
  const all = jobs.value
  const want = sought.value.toLowerCase()
  const hit = (all ?? []).filter((j) => !want || j.name.toLowerCase().includes(want) || j.title.toLowerCase().includes(want))
  const begin = () => { making.value = true }
  return (
    <main class="jobs">
      <header>
        <h1>Jobs</h1>
        <p class="soft">in {folder.value}</p>
        <button class="main" onClick={begin}><Icon name="plus" /> New job</button>
      </header>
      <Words label="Find a job" value={sought.value} live onDone={(v) => { sought.value = v }} />
      {all === null && <p>Looking ...</p>}
      {all?.length === 0 && <p>There is no job in this folder yet.</p>}
      <ul class="lines">
        {hit.slice(0, many).map((j) => (
          <li key={j.name}>
            <button class="line" onClick={() => void open(j.name)}>
              <span class="name">{j.title || j.name}</span>
              <span class="what">{j.name}</span>
              <span class="num">{new Date(j.changed).toLocaleDateString()}</span>
            </button>
          </li>
        ))}
      </ul>
      {hit.length > many && <p class="soft">and {hit.length - many} more: write a part of the name above.</p>}
      <p class="caution">{caution.value}</p>
      {making.value && <NewJob />}
    </main>
  )
}

function NewJob() {
  const f = fresh.value
  const codes = books.value.filter((b) => isCode(b.kind))
  const set = (c: Partial<typeof f>) => { fresh.value = { ...fresh.value, ...c } }
  const make = async () => {
    const title = f.title.trim()
    const name = title.replace(/[^\p{L}\p{N} ._-]+/gu, ' ').replace(/\s+/g, ' ').trim().replace(/^\.+/, '').slice(0, 100) || 'job'
    try {
      const s = await api.create({ name, title, code: f.code, floors: Number(f.floors), under: f.under, metric: f.units === 'metric', drain: f.drain.trim(), street: f.street.trim() })
      making.value = false
      set({ title: '', drain: '', street: '' })
      await open(s.name)
    } catch (e) { tell((e as Error).message, true) }
  }
  return (
    <Dialog title="New job" onClose={() => { making.value = false }}>
      <form class="fields" onSubmit={(e) => { e.preventDefault(); void make() }}>
        <Words label="Title" value={f.title} live placeholder="Heron Lane, new house" onDone={(v) => set({ title: v })} />
        <Choice label="Code and edition" value={f.code} of={codes.map((b) => b.id)} words={titles(codes)} none="Not known yet" hint="Your building department says which one it enforces" onPick={(v) => set({ code: v })} />
        <div class="pair">
          <Choice label="Floors" value={f.floors} of={['1', '2', '3']} onPick={(v) => set({ floors: v })} />
          <Choice label="Under the first floor" value={f.under} of={['crawl space', 'basement', 'slab']} none="Not known yet" onPick={(v) => set({ under: v })} />
        </div>
        <Choice label="Measured in" value={f.units} of={['metric']} words={{ metric: 'millimetres and metres' }} none="Feet and inches" onPick={(v) => set({ units: v })} />
        <div class="pair">
          <Length label="Drain under the house" value={f.drain} metric={f.units === 'metric'} live onDone={(v) => set({ drain: v })} hint="About how long: it can be set later" />
          <Length label="From the house to the street" value={f.street} metric={f.units === 'metric'} live onDone={(v) => set({ street: v })} />
        </div>
        <div class="dialog-foot"><button class="main" disabled={!f.title.trim()}>Begin</button></div>
      </form>
    </Dialog>
  )
}
