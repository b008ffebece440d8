// One control for each kind of value that a job file takes, and the edit that it makes.
import { Edit, Entry, Field, Key } from './api'
import { Length, metric } from './keypad'
import { Choice, firstCapital, Icon, Usual, Words } from './parts'
import { books, edit, get, joining, kinds, levels } from './state'

export const sizes = ['1-1/4', '1-1/2', '2', '3', '4', '6']
export const slopes = () => (metric() ? ['1%', '2%', '4%'] : [`1/8" per ft`, `1/4" per ft`, `1/2" per ft`])

/** plainSize drops the unit that a size may be written with, so that a list can show it. */
export const plainSize = (s: string) => s.replace(/\s*("|in)$/, '')

const split = (v: string) => v.split(',').map((x) => x.trim()).filter((x) => x)

/** setKey gives the edit that puts a value at a path, or takes the key out when it is "". */
export function setKey(path: string[], value: string, was: Entry | undefined, takes = 'text'): Edit[] {
  if (value === '') return was ? [{ op: 'remove', path }] : []
  if (takes === 'texts' || takes === 'words' || takes === 'legs') {
    const list = split(value)
    return [list.length === 1 && takes !== 'legs' ? { op: 'set', path, value: list[0] } : { op: 'set', path, list }]
  }
  return [{ op: 'set', path, value }]
}

/** common are usual values of keys that take any text. */
export function common(path: string[], key: string): string[] | undefined {
  switch (path[0] === 'outlet' ? 'outlet ' + key : key) {
    case 'outlet to': return ['public sewer', 'septic tank', 'house drain', 'sump']
    case 'under': return ['crawl space', 'basement', 'slab', ...levels().filter((l) => l !== path[1]).map((l) => 'level ' + l)]
    case 'studs': return path.includes('through') ? undefined : ['2x4', '2x6']
    case 'joists': return path.includes('through') ? undefined : ['2x8', '2x10', '2x12', 'i-joist', 'truss']
    case 'bowls': case 'heads': case 'outlets': return ['1', '2', '3', '4']
    case 'stories': return ['1', '2', '3']
    case 'location': return ['garage', 'outdoors']
    case 'bend': return ['4x3']
  }
}

/** KeyField shows one key of the file and changes it. */
export function KeyField(props: { path: string[]; of: Key; was: Entry | undefined; label?: string; into?: Edit[]; on?: string }) {
  const { path, of, was } = props
  const label = props.label ?? firstCapital(of.name)
  const value = was?.list ? was.list.join(', ') : (was?.text ?? '')
  const hint = of.say && firstCapital(of.say) + '.'
  // into comes first where a mapping must take the place of a single word.
  const send = (v: string) => { void edit(...(v ? (props.into ?? []) : []), ...setKey(path, v, was, of.takes)) }
  if (of.name === 'cleanouts') return <Cleanouts path={path} of={of} was={was} />
  if (of.keys?.length || was?.keys) {
    const short = of.takes !== 'keys' || of.open
    const inner = (of.keys ?? []).map((k) => <KeyField key={k.name} path={[...path, k.name]} of={k} was={get(was, k.name)} into={was && !was.keys ? [{ op: 'remove', path }] : undefined} />)
    if (!short) return <fieldset><legend>{label}</legend>{hint && <p class="hint">{hint}</p>}{inner}</fieldset>
    // One word says it, or each part is said.
    return (
      <fieldset>
        <legend>{label}</legend>
        {was?.keys
          ? <button onClick={() => void edit({ op: 'remove', path })}>Say it in one word instead</button>
          : <KeyField path={path} of={{ ...of, takes: of.words?.length ? 'word' : 'text', keys: undefined }} was={was} label={`${label}, in short`} />}
        <details open={!!was?.keys}><summary>Each part by itself</summary>{inner}</details>
      </fieldset>
    )
  }
  if (of.name === 'code' && books.value.length > 0) {
    const all = books.value.filter((b) => isCode(b.kind))
    return <Choice label={label} value={value} of={all.map((b) => b.id)} words={titles(all)} none="Not known yet" hint="Your building department says which one it enforces." onPick={send} />
  }
  if (of.name === 'job') return <Words label={label} value={value} onDone={send} />
  if (of.name === 'units' && path.length === 1) return <Choice label={label} value={value} of={of.words ?? []} words={{ 'ft-in': 'Feet and inches', 'metric': 'Millimetres and metres' }} none="Not said: feet and inches" onPick={send} />
  const usual = common(path, of.name)
  if (usual) return <Usual label={label} value={value} usual={usual} none="Not said" hint={hint} onPick={send} />
  if (of.name === 'level' && levels().length > 0) return <Choice label={label} value={value} of={levels()} none="Not said" onPick={send} />
  if (of.name === 'fixture' && kinds.value.length > 0) return <Usual label={label} value={value} usual={kinds.value.map((k) => k.name)} none="None" hint={hint} onPick={send} />
  switch (of.takes) {
    case 'texts': case 'words':
      return <List path={path} of={of} was={was} label={label} />
    case 'flag':
      return <Choice label={label} value={flag(value)} of={['yes', 'no']} none="Not said" hint={hint} onPick={send} />
    case 'word':
      if (of.open) return <Usual label={label} value={value} usual={of.words ?? []} none="Not said" hint={hint} onPick={send} />
      return <Choice label={label} value={value} of={of.words ?? []} none="Not said" hint={hint} onPick={send} />
    case 'length': case 'height':
      return <Length label={label} value={value} hint={hint} onDone={send} />
    case 'place':
      return <Place label={label} value={value} on={props.on} onPick={send} />
    case 'size':
      return <Usual label={label} value={plainSize(value)} usual={sizes} none="Not said" hint={hint} onPick={send} />
    case 'slope':
      return <Usual label={label} value={value} usual={slopes()} none="Not said" hint={hint} onPick={send} />
    default:
      return <Words label={label} value={value} hint={hint} onDone={send} />
  }
}

/** isCode tells a code book from what is laid over one. */
export const isCode = (kind?: string) => !kind || /code|edition/.test(kind)
/** titled is the title of a book or layer, which says once that it is invented. */
export const titled = (b: { title: string; invented?: boolean }) => b.title + (b.invented && !/\(invented\)/i.test(b.title) ? ' (invented)' : '')
export const titles = (all: { id: string; title: string; invented?: boolean }[]) => Object.fromEntries(all.map((b) => [b.id, titled(b)]))

/** places are those on a pipe that have names; a length is the other way to say one. */
export const places = ['upper end', 'end of arm', 'top of drop', 'foot', 'lower end']

/** Place is a place on a pipe, by name, by how far along it, or after something that joins it. */
export function Place(props: { label: string; value: string; none?: string; live?: boolean; on?: string; but?: string; onPick: (v: string) => void }) {
  const named = places.includes(props.value) || props.value.startsWith('after ')
  const after = props.on ? joining(props.on, props.but) : []
  return (
    <div class="pair">
      <Choice label={props.label} value={named ? props.value : ''} of={[...places, ...after.map((n) => 'after ' + n)]} words={Object.fromEntries(after.map((n) => ['after ' + n, `after where ${n} joins`]))} none={props.value && !named ? 'At a distance' : (props.none ?? 'Not said')} onPick={props.onPick} />
      <Length label="or how far along it" of={props.label === 'Where on it' ? undefined : props.label} value={named ? '' : props.value} live={props.live} onDone={props.onPick} />
    </div>
  )
}

const oneMore: Record<string, string> = { with: 'One more amendment or practice', notes: 'One more note', devices: 'One more device', turn: 'One more turn', serves: 'One more fixture', fixtures: 'One more fixture' }

/** List is a key with several values: each with a way to take it out, and one more. */
function List(props: { path: string[]; of: Key; was: Entry | undefined; label: string }) {
  const { path, of, was, label } = props
  const free = of.name === 'notes' // sentences have commas in them
  const have = was?.list ?? (was?.text ? (free ? [was.text] : split(was.text)) : [])
  const put = (list: string[]) => void edit(list.length === 0 ? { op: 'remove', path } : list.length === 1 && !was?.list ? { op: 'set', path, value: list[0] } : { op: 'set', path, list })
  const more = (v: string) => { if (v) put([...have, v]) }
  const one = oneMore[of.name] ?? `One more of ${of.name}`
  const layers = of.name === 'with' ? books.value.filter((b) => !isCode(b.kind)) : []
  const fixtures = of.name === 'serves' || of.name === 'fixtures' ? kinds.value.map((k) => k.name) : []
  return (
    <fieldset>
      <legend>{label}</legend>
      {layers.length > 0 ? <p class="hint">In the order in which they lie over each other: local amendments, then shop practice.</p> : of.say && <p class="hint">{firstCapital(of.say)}.</p>}
      <ul>
        {have.map((x, i) => (
          <li key={i} class="leg">
            {layers.some((b) => b.id === x) ? <p class="fixed">{titles(layers)[x]}</p> : <Words label={`${label}, ${i + 1}`} value={x} onDone={(v) => put(v ? have.map((y, k) => (k === i ? v : y)) : have.filter((_, k) => k !== i))} />}
            <button class="plain" aria-label={`Take out ${x}`} onClick={() => put(have.filter((_, k) => k !== i))}><Icon name="bin" /></button>
          </li>
        ))}
      </ul>
      {layers.length > 0
        ? <Usual label={one} value="" usual={layers.map((b) => b.id).filter((id) => !have.includes(id))} words={titles(layers)} none="Choose" hint="A file of your own beside the job, by hand." onPick={more} />
        : fixtures.length > 0
        ? <Usual label={one} value="" usual={fixtures} none="Choose" onPick={more} />
        : of.words?.length
        ? <Choice label={one} value="" of={of.words.filter((w) => !have.includes(w))} none="Choose" onPick={more} />
        : <Words label={one} value="" onDone={more} />}
    </fieldset>
  )
}

/** Cleanouts are a list of places, each with what is known of it. */
function Cleanouts(props: { path: string[]; of: Key; was: Entry | undefined }) {
  const { path, of, was } = props
  const rows: Entry[] = was?.rows ?? (was?.keys ? [was] : (was?.list ?? (was?.text ? [was.text] : [])).map((text) => ({ name: '', line: 0, text })))
  const fields = (r: Entry): Field[] => (r.keys ? r.keys.map((k) => ({ key: k.name, value: k.text ?? '' })) : [{ key: 'at', value: r.text ?? '' }])
  const item = (f: Field[]) => (f.length === 1 && f[0].key === 'at' ? { value: f[0].value } : { fields: f })
  const put = (all: Field[][]) => void edit(all.length ? { op: 'set', path, items: all.map(item) } : { op: 'remove', path })
  const all = rows.map(fields)
  return (
    <fieldset>
      <legend>Cleanouts</legend>
      {all.map((f, i) => (
        <fieldset key={i}>
          <legend>{`Cleanout ${i + 1}`}</legend>
          {(of.keys ?? []).map((k) => {
            const now = f.find((x) => x.key === k.name)
            const set = (v: string) => put(all.map((g, n) => (n !== i ? g : v ? (now ? g.map((x) => (x === now ? { ...x, value: v } : x)) : [...g, { key: k.name, value: v }]) : g.filter((x) => x !== now))))
            const label = `${firstCapital(k.name)}, cleanout ${i + 1}`
            const value = now?.value ?? ''
            if (k.takes === 'place') return <Place key={k.name} label={label} value={value} on={path[1]} onPick={(v) => { if (v) set(v) }} />
            if (k.takes === 'length') return <Length key={k.name} label={label} value={value} hint={k.say} onDone={set} />
            if (k.takes === 'size') return <Usual key={k.name} label={label} value={plainSize(value)} usual={sizes} none="Not said" onPick={set} />
            return <Choice key={k.name} label={label} value={value} of={k.words ?? []} none="Not said" hint={k.say} onPick={set} />
          })}
          <button class="danger" onClick={() => put(all.filter((_, n) => n !== i))}><Icon name="bin" /> Take out cleanout {i + 1}</button>
        </fieldset>
      ))}
      <Place label="One more cleanout" value="" on={path[1]} none="Choose where" onPick={(v) => { if (v) put([...all, [{ key: 'at', value: v }]]) }} />
    </fieldset>
  )
}

function flag(v: string): string {
  if (/^(true|yes)$/i.test(v)) return 'yes'
  if (/^(false|no)$/i.test(v)) return 'no'
  return v
}
