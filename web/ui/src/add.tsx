// Adding: a fixture, a pipe, a vent, a whole room; and copying a room to another level.
import { signal } from '@preact/signals'
import { Edit } from './api'
import { Length } from './keypad'
import { At, directionWords, Way } from './pipe'
import { Choice, Icon, Usual, Words } from './parts'
import { slopes } from './keys'
import { copyRoom, edit, forms, free, kinds, levels, listOf, makeRoom, names, panel, pick, roomsOf, state, tell, textOf, thing } from './state'

type What = 'fixture' | 'pipe' | 'vent' | 'room' | 'copy'
const what = signal<What>('room')
/** usual stands in a form for what is usual there, until something else is chosen. */
const usual = '?'
const blank = { kind: '', name: '', joins: '', at: '', room: '', level: usual, way: 'E', length: '', ends: 'through roof', heads: '', mirror: '', place: usual, copied: '', drawn: '', slope: '' }
const form = signal({ ...blank })
const set = (change: Partial<typeof blank>) => { form.value = { ...form.value, ...change } }

/** begin opens the form with what is picked as its receiver. */
export function begin(w: What, at = '') {
  what.value = w
  const of = thing(at)
  form.value = { ...blank, slope: form.value.slope, joins: at, way: w === 'vent' ? 'up' : 'E', level: textOf(of?.entry, 'level') || form.value.level, place: form.value.place, room: textOf(of?.entry, 'room') }
  panel.value = 'add'
}

const opposite: Record<string, string> = { N: 'S', S: 'N', E: 'W', W: 'E', NE: 'SW', SW: 'NE', SE: 'NW', NW: 'SE', up: 'down', down: 'up' }

/** drawnFrom opens the form with a pipe that was drawn by hand: from where it joins, the way
 *  it leads off. The water of a drain runs the other way, the air of a vent along it. */
export function drawnFrom(name: string, at: string, way: string, length: string) {
  begin(thing(name)?.heading === 'vents' ? 'vent' : 'fixture', name)
  const vent = what.value === 'vent'
  set({ at, drawn: way, length, ...(way && { way: vent ? way : opposite[way] }) })
}

/** main is the run that most is joined to by habit: the one that the line to the street takes. */
function main(): string {
  const runs = state.value?.written.runs ?? []
  const sewer = runs.find((r) => textOf(r, 'joins') === 'outlet')
  return runs.find((r) => textOf(r, 'joins') === sewer?.name && !textOf(r, 'fixture'))?.name ?? sewer?.name ?? 'outlet'
}

const usualKinds = ['water closet', 'lavatory', 'bathtub', 'shower', 'kitchen sink', 'clothes washer', 'floor drain', 'laundry tub']

export function Add() {
  const s = state.value
  if (!s) return null
  const tabs: [What, string][] = [['room', 'Room'], ['fixture', 'Fixture'], ['pipe', 'Pipe'], ['vent', 'Vent'], ['copy', 'Copy']]
  return (
    <section aria-label="Add">
      <header class="pane-head"><h2>Add</h2></header>
      <div class="choose" role="group" aria-label="What to add">
        {tabs.map(([k, words]) => <button key={k} aria-pressed={what.value === k} onClick={() => { what.value = k; const d = form.value.drawn; set({ way: d ? (k === 'vent' ? d : opposite[d]) : k === 'vent' ? 'up' : 'E' }) }}>{words}</button>)}
      </div>
      {what.value === 'room' ? <RoomForm /> : what.value === 'copy' ? <CopyForm /> : what.value === 'vent' ? <VentForm /> : <RunForm fixture={what.value === 'fixture'} />}
    </section>
  )
}

function Joins() {
  const f = form.value
  return (
    <>
      <Choice label="Drains into" value={f.joins || main()} of={['outlet', ...names()]} onPick={(v) => set({ joins: v })} />
      <At label="Where on it" value={f.at} live on={f.joins || main()} onPick={(v) => set({ at: v })} />
    </>
  )
}

const lowest = () => state.value?.lowest ?? ''

/** levelOf is the level that the form says, or the lowest one. */
const levelOf = () => (form.value.level !== usual ? form.value.level : lowest())

function Level() {
  if (levels().length === 0) return null
  return <Choice label="Level" value={levelOf()} of={levels()} none="Not said" onPick={(v) => set({ level: v })} />
}

function RunForm({ fixture }: { fixture: boolean }) {
  const f = form.value
  const name = f.name.trim() || (fixture ? free([f.room, f.kind].filter((x) => x).join(' ')) : '')
  const upright = f.way === 'down' || f.way === 'up'
  const add = async () => {
    const fields: NonNullable<Edit['fields']> = [{ key: 'joins', value: f.joins || main() }]
    if (f.at) fields.push({ key: 'at', value: f.at })
    if (f.length) fields.push({ key: 'legs', list: [`${f.way} ${f.length}`] })
    if (f.slope && !upright) fields.push({ key: 'slope', value: f.slope })
    if (fixture) fields.push({ key: 'fixture', value: f.kind })
    if (levelOf()) fields.push({ key: 'level', value: levelOf() })
    if (f.room) fields.push({ key: 'room', value: f.room })
    if (await edit({ op: 'add', path: ['runs', name], fields })) { set({ name: '', length: '', at: '', drawn: '' }); pick(name) }
  }
  const rest = kinds.value.map((k) => k.name).filter((k) => !usualKinds.includes(k))
  return (
    <form class="fields" onSubmit={(e) => { e.preventDefault(); void add() }}>
      {fixture && (
        <div class="kinds" role="group" aria-label="Kind of fixture">
          {usualKinds.filter((k) => kinds.value.some((x) => x.name === k)).map((k) => <button type="button" key={k} aria-pressed={f.kind === k} onClick={() => set({ kind: k })}>{k}</button>)}
        </div>
      )}
      {fixture && <Choice label="Any other kind" value={rest.includes(f.kind) ? f.kind : ''} of={rest} none="Choose" onPick={(v) => set({ kind: v })} />}
      {fixture && <Words label="Room" value={f.room} live placeholder="hall bath" onDone={(v) => set({ room: v })} />}
      <Words label="Name" value={f.name} live placeholder={name || 'branch'} onDone={(v) => set({ name: v })} />
      <Joins />
      <div class="pair">
        <div class="field"><span class="label" aria-hidden="true">Runs, with the water</span><Way label="Runs, with the water" value={f.way} onPick={(v) => set({ way: v })} /></div>
        <Length label="for" value={f.length} live onDone={(v) => set({ length: v })} hint="May be left out, and known later" />
      </div>
      {!upright && <Usual label="Slope" value={f.slope} usual={slopes()} none="Not said" onPick={(v) => set({ slope: v })} />}
      <Level />
      <button class="main" disabled={!name || (fixture && !f.kind)}><Icon name="plus" /> Add {name || (fixture ? 'the fixture' : 'the pipe')}</button>
    </form>
  )
}

function VentForm() {
  const f = form.value
  const from = f.joins || names().find((n) => textOf(thing(n)?.entry, 'fixture')) || ''
  const name = f.name.trim() || free(`${from} vent`)
  const others = (state.value?.written.vents ?? []).map((v) => v.name)
  const add = async () => {
    const fields: NonNullable<Edit['fields']> = [{ key: 'from', value: from }]
    if (f.at) fields.push({ key: 'at', value: f.at })
    if (f.length) fields.push({ key: 'legs', list: [`${f.way} ${f.length}`] })
    fields.push({ key: 'ends', value: f.ends })
    if (await edit({ op: 'add', path: ['vents', name], fields })) { set({ name: '', length: '' }); pick(name) }
  }
  return (
    <form class="fields" onSubmit={(e) => { e.preventDefault(); void add() }}>
      <Choice label="Takes off from" value={from} of={[...names(), ...others]} onPick={(v) => set({ joins: v })} />
      <At label="Where on it" value={f.at} live on={from} onPick={(v) => set({ at: v })} />
      <Words label="Name" value={f.name} live placeholder={name} onDone={(v) => set({ name: v })} />
      <div class="pair">
        <div class="field"><span class="label" aria-hidden="true">Goes</span><Way label="Goes" value={f.way} onPick={(v) => set({ way: v })} /></div>
        <Length label="for" value={f.length} live onDone={(v) => set({ length: v })} hint="May be left out, and known later" />
      </div>
      <Choice label="Ends" value={f.ends} of={['through roof', 'side wall', 'air admittance valve', 'capped', ...others, ...names()]} onPick={(v) => set({ ends: v })} />
      <button class="main" disabled={!from}><Icon name="plus" /> Add {name}</button>
    </form>
  )
}

const lies = ['crawl space', 'basement', 'joists', 'wall', 'under slab', 'under ground']

/** liesIn is what pipes of a level lie in by habit: under the lowest floor what the job says
 *  is there, higher up the joists. */
function liesIn(level: string): string {
  const all = state.value?.written.levels ?? []
  const under = textOf(all.find((l) => l.name === level), 'under')
  if (under === 'slab') return 'under slab'
  if (lies.includes(under)) return under
  return level && level !== lowest() ? 'joists' : ''
}

const aNewStack = 'a new stack'

/** into is what a room drains into unless something else is chosen: on an upper floor the
 *  stack that is there, or a new one. */
function into(level: string): string {
  if (!level || level === lowest()) return main()
  const down = (state.value?.written.runs ?? []).filter((r) => !textOf(r, 'fixture') && !textOf(r, 'room') && listOf(r, 'legs').some((l) => /^down/i.test(l)))
  return down[0]?.name ?? aNewStack
}

function RoomForm() {
  const f = form.value
  const list = forms.value?.rooms ?? []
  const kind = list.find((r) => r.kind === f.kind)
  const level = levelOf()
  const joins = f.joins || into(level)
  const place = f.place === usual ? liesIn(level) : f.place
  const name = f.name.trim() || (kind ? free(kind.kind.replace(/ with .*/, '')) : '')
  const add = async () => {
    const stack = joins === aNewStack
    if (await makeRoom({ kind: f.kind, as: name, joins: stack ? main() : joins, at: f.at, level, heads: f.heads, place, stack })) {
      set({ name: '', at: '', joins: '', kind: '' })
      document.querySelector('aside.pane')?.scrollTo(0, 0)
      tell(`${name} is laid out with usual rough-in dimensions: set them to what you measure.`)
    }
  }
  return (
    <form class="fields" onSubmit={(e) => { e.preventDefault(); void add() }}>
      <div class="kinds" role="group" aria-label="Kind of room">
        {list.map((r) => <button type="button" key={r.kind} aria-pressed={f.kind === r.kind} onClick={() => set({ kind: r.kind })}>{r.kind}</button>)}
      </div>
      {kind && <p class="hint">{kind.say}.</p>}
      <Words label="Name of the room" value={f.name} live placeholder={name || 'hall bath'} onDone={(v) => set({ name: v })} />
      <Level />
      <Choice label="Drains into" value={joins} of={[...(level && level !== lowest() ? [aNewStack] : []), ...names()]} words={{ [aNewStack]: `a new stack, down to ${main()}` }} onPick={(v) => set({ joins: v })} />
      <At label="Where on it" value={f.at} live none="Where there is room" onPick={(v) => set({ at: v })} />
      <Choice label="Its branch runs" value={f.heads} of={['N', 'E', 'S', 'W']} words={directionWords} none="As it fits" onPick={(v) => set({ heads: v })} />
      <Choice label="Its pipes lie in" value={place} of={lies} none="Not said" onPick={(v) => set({ place: v })} />
      <button class="main" disabled={!f.kind}><Icon name="plus" /> Lay out {name || 'the room'}</button>
    </form>
  )
}

function CopyForm() {
  const f = form.value
  const have = roomsOf()
  const room = f.copied || have[0] || ''
  const as = f.name.trim() || free(room)
  const was = textOf((state.value?.written.runs ?? []).find((r) => textOf(r, 'room') === room), 'level')
  const level = f.level === usual || !f.level ? was : f.level
  // On another floor it hangs on a stack, and its pipes lie in what is usual there.
  const moved = level !== was
  const joins = f.joins || (moved ? into(level) : '')
  const stack = joins === aNewStack
  const add = async () => {
    if (await copyRoom({ room, as, joins: stack ? main() : joins, at: f.at, level: moved ? level : '', mirror: f.mirror, place: moved ? liesIn(level) : '', stack })) {
      set({ name: '', at: '', joins: '' })
      document.querySelector('aside.pane')?.scrollTo(0, 0)
      tell(`${room} is copied as ${as}${stack ? ', on a new stack' : ''}. Undo takes it back.`)
    }
  }
  if (have.length === 0) return <p>There is no room to copy yet. Lay one out under Room, or say of pipes which room they are in.</p>
  return (
    <form class="fields" onSubmit={(e) => { e.preventDefault(); void add() }}>
      <Choice label="Room to copy" value={room} of={have} onPick={(v) => set({ copied: v, joins: '' })} />
      <Words label="Name of the copy" value={f.name} live placeholder={as} onDone={(v) => set({ name: v })} />
      {levels().length > 0 && <Choice label="Level" value={level} of={levels()} none={was ? undefined : 'Not said'} onPick={(v) => set({ level: v, joins: '' })} />}
      <Choice label="Drains into" value={joins} of={[...(moved ? [aNewStack] : []), ...names()]} words={{ [aNewStack]: `a new stack, down to ${main()}` }} none={moved ? undefined : 'What the room drains into'} onPick={(v) => set({ joins: v })} />
      <At label="Where on it" value={f.at} live none="Where there is room" onPick={(v) => set({ at: v })} />
      <Choice label="Mirrored" value={f.mirror} of={['E-W', 'N-S']} words={{ 'E-W': 'East and west change places', 'N-S': 'North and south change places' }} none="As it is" onPick={(v) => set({ mirror: v })} />
      <button class="main"><Icon name="plus" /> Copy {room} as {as}</button>
    </form>
  )
}
