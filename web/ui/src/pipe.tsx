// One pipe: why it is what it is, and everything that the file says of it.
import { signal, useSignal } from '@preact/signals'
import { ComponentChildren } from 'preact'
import { useEffect, useRef } from 'preact/hooks'
import { api, Edit, Entry, Reason, WhyPage } from './api'
import { begin } from './add'
import { KeyField, Place, plainSize, setKey, sizes, slopes } from './keys'
import { Length } from './keypad'
import { Choice, Cites, firstCapital, Icon, Say, Select, unitWords, Usual, Words } from './parts'
import { edit, forms, get, keyOf, listOf, names, panel, pick, picked, state, tell, textOf, thing, walkOf } from './state'
import { FindingLine, plain } from './lists'
import { lineToShow } from './editor'

const page = signal<{ of: string; rev: string; why: WhyPage } | null>(null)

export function Pipe() {
  const name = picked.value
  const s = state.value
  const it = thing(name)
  useEffect(() => {
    if (!s || !name || s.result.faults.some((f) => f.severity === 'error')) return
    let late = false
    api.why(s.name, name).then((why) => { if (!late) page.value = { of: name, rev: s.rev, why } }, () => { if (!late) page.value = null })
    return () => { late = true }
  }, [name, s?.rev])
  if (!s || !it) return null
  const why = page.value?.of === name ? page.value.why : null
  const vent = it.heading === 'vents'
  return (
    <article class="pipe" aria-label={name}>
      <header class="pane-head">
        <button class="plain" onClick={() => pick('', false)} aria-label="Back to the list of pipes"><Icon name="back" /></button>
        <h2>{name}</h2>
      </header>
      <div class="row">
        {!vent && <button onClick={() => { walkOf.value = name }}><Icon name="drop" /> Follow the water</button>}
        <button onClick={() => { lineToShow.value = it.entry.line; panel.value = 'file' }}><Icon name="file" /> In the file</button>
      </div>
      <Weighed name={name} why={why} vent={vent} />
      <h3>What the job says</h3>
      {vent ? <VentFields of={it.entry} /> : <RunFields of={it.entry} />}
      <h3>Goes on from here</h3>
      <div class="row">
        {!vent && <button onClick={() => begin('fixture', name)}>Fixture that joins it</button>}
        {!vent && <button onClick={() => begin('pipe', name)}>Pipe that joins it</button>}
        <button onClick={() => begin('vent', name)}>Vent from it</button>
        <button class="danger" onClick={() => remove(it.heading, it.entry)}><Icon name="bin" /> Delete {name}</button>
      </div>
    </article>
  )
}

function Weighed({ name, why, vent }: { name: string; why: WhyPage | null; vent: boolean }) {
  const r = state.value?.result
  const pieces = r?.runs.find((x) => x.name === name)?.pieces ?? []
  const v = vent ? r?.vents.find((x) => x.name === name) : undefined
  const fixture = r?.fixtures.find((f) => f.run === name)
  const last = pieces[pieces.length - 1]
  const found = r?.findings.map((f, i) => ({ f, i })).filter((x) => x.f.on.name === name) ?? []
  const parts = why?.pieces ?? []
  const end = parts[parts.length - 1]
  return (
    <section class="why" aria-label="Why">
      {last && (
        <p class="size"><strong class="whole">{last.size || 'no size'}</strong> {last.role}, {unitWords(last.units)}{last.atLeast && ' or more'}{last.waterClosets > 0 && `, ${last.waterClosets} water closet${last.waterClosets > 1 ? 's' : ''}`}</p>
      )}
      {v && <p class="size"><strong>{v.size || 'no size'}</strong> vent of {unitWords(v.units)}{v.lengthKnown && v.length ? `, ${v.length} long` : ''}</p>}
      {fixture && <p>{firstCapital(fixture.kind)}: {unitWords(fixture.units)}. Its trap: {fixture.vented || fixture.verdict}.</p>}
      {end && <Reasons of={end.reasons} required={end.required} />}
      {v && <Reasons of={v.reasons} required={v.required} />}
      {end?.spare && <p><b>Room left:</b> {end.spare}</p>}
      {end?.next?.map((n, i) => <p key={i}><b>Next step up:</b> {n}</p>)}
      {end?.roleWhy && <p class="soft">{end.role}: {plain(end.roleWhy)}</p>}
      {pieces.length > 1 && (
        <table class="pieces">
          <caption>Along the pipe, with the water</caption>
          <thead><tr><th>From</th><th>Role</th><th>Units</th><th>Size</th></tr></thead>
          <tbody>{pieces.map((p, i) => <tr key={i}><td>{p.known ? p.from : ''}</td><td>{p.role}</td><td>{p.units}</td><td>{p.size}</td></tr>)}</tbody>
        </table>
      )}
      {why?.readings && why.readings.length > 0 && (
        <details>
          <summary>How its trap was read</summary>
          {why.readings.map((x, i) => (
            <div key={i} class="reading">
              <p><b>{x.method}</b>{x.vent ? ` by ${x.vent}` : ''}: {x.holds ? 'holds' : x.fails?.length ? 'does not hold' : 'cannot tell'}</p>
              {[...(x.fails ?? []), ...(x.asks ?? [])].map((f, k) => <p key={k} class="soft">{plain(f.message)}</p>)}
              <Cites of={x.cite ? [x.cite] : []} />
            </div>
          ))}
        </details>
      )}
      {found.length > 0 && <ul class="findings">{found.map((x) => <FindingLine key={x.i} f={x.f} n={x.i} here />)}</ul>}
    </section>
  )
}

function Reasons({ of, required }: { of: Reason[] | null | undefined; required: string }) {
  if (!of?.length) return null
  const [first, ...rest] = of
  return (
    <div class="reasons">
      <p><b>{required ? `${required} because` : 'Because'}</b> <Say of={first.text} /></p>
      <Cites of={first.cites} />
      {rest.length > 0 && (
        <details>
          <summary>Also weighed ({rest.length})</summary>
          <ul>{rest.map((r, i) => <li key={i}>{r.min && <b class="whole">{r.min}: </b>}<Say of={r.text} /><Cites of={r.cites} /></li>)}</ul>
        </details>
      )}
    </div>
  )
}

/** At is where on its receiver a pipe joins. */
export const At = (props: { label: string; value: string; none?: string; on?: string; but?: string; onPick: (v: string) => void; live?: boolean }) => <Place {...props} none={props.none ?? 'As is usual'} />

function RunFields({ of }: { of: Entry }) {
  const path = ['runs', of.name]
  const set = (key: string, takes = 'text') => (v: string) => { void edit(...setKey([...path, key], v, get(of, key), takes)) }
  const fixture = textOf(of, 'fixture')
  const vents = (state.value?.written.vents ?? []).map((v) => v.name)
  return (
    <div class="fields">
      <Words label="Name" value={of.name} onDone={(v) => rename('runs', of.name, v)} />
      <Choice label="Joins" value={textOf(of, 'joins')} of={['outlet', ...names().filter((n) => n !== of.name), ...vents]} onPick={set('joins')} />
      <At label="Where on it" value={textOf(of, 'at')} on={textOf(of, 'joins')} but={of.name} onPick={set('at')} />
      {fixture && <Arm of={of} />}
      <Legs heading="runs" of={of} />
      <Common heading="runs" of={of} />
      {!fixture && <Words label="Fixture at its upper end" value="" placeholder="none: water closet, lavatory, tub ..." onDone={set('fixture')} />}
      <More heading="runs" of={of} shown={['joins', 'at', 'arm', 'legs', 'slope', 'size', 'material', 'level', 'existing', 'remove', 'new']} />
    </div>
  )
}

function VentFields({ of }: { of: Entry }) {
  const path = ['vents', of.name]
  const set = (key: string, takes = 'text') => (v: string) => { void edit(...setKey([...path, key], v, get(of, key), takes)) }
  const s = state.value
  const others = (s?.written.vents ?? []).map((v) => v.name).filter((n) => n !== of.name)
  const from = listOf(of, 'from')
  const putFrom = (all: string[]) => void edit(all.length > 1 ? { op: 'set', path: [...path, 'from'], list: all } : { op: 'set', path: [...path, 'from'], value: all[0] })
  return (
    <div class="fields">
      <Words label="Name" value={of.name} onDone={(v) => rename('vents', of.name, v)} />
      {from.map((n, i) => (
        <div key={i} class="leg">
          <Choice label={i ? `and from (${i + 1})` : 'From'} value={n} of={[...names(), ...others].filter((o) => o === n || !from.includes(o))} onPick={(v) => putFrom(from.map((o, k) => (k === i ? v : o)))} />
          {i > 0 && <button class="plain" aria-label={`Take out ${n}`} onClick={() => putFrom(from.filter((_, k) => k !== i))}><Icon name="bin" /></button>}
        </div>
      ))}
      <Choice label="and from another" value="" of={[...names(), ...others].filter((o) => !from.includes(o))} none="No other comes together in it" onPick={(v) => putFrom([...from, v])} />
      <At label="Where on it" value={textOf(of, 'at')} on={from[0]} but={of.name} onPick={set('at')} />
      <Legs heading="vents" of={of} />
      <Choice label="Ends" value={textOf(of, 'ends')} none="Not said" of={['through roof', 'side wall', 'air admittance valve', 'capped', ...others, ...names()]} onPick={set('ends')} />
      <Common heading="vents" of={of} />
      <More heading="vents" of={of} shown={['from', 'at', 'legs', 'ends', 'slope', 'size', 'material', 'level', 'existing', 'remove', 'new']} />
    </div>
  )
}

function Common({ heading, of }: { heading: 'runs' | 'vents'; of: Entry }) {
  const path = [heading, of.name]
  const set = (key: string) => (v: string) => { void edit(...setKey([...path, key], v, get(of, key))) }
  const states = ['new', 'existing', 'remove']
  const now = states.find((k) => /^(true|yes)$/i.test(textOf(of, k))) ?? ''
  const level = keyOf(heading, 'level')
  return (
    <>
      <Usual label="Slope of its level legs" value={textOf(of, 'slope')} usual={slopes()} none="Not said" placeholder={slopes()[1]} onPick={set('slope')} />
      <Usual label="Size" value={plainSize(textOf(of, 'size'))} usual={sizes} none="As the code asks" onPick={set('size')} />
      <Choice label="Material" value={textOf(of, 'material')} of={keyOf(heading, 'material')?.words ?? []} none="As the job says" onPick={set('material')} />
      {level && <KeyField path={[...path, 'level']} of={level} was={get(of, 'level')} />}
      <Choice label="This pipe is" value={now} of={states} none="Not said" onPick={(v) => {
        const edits: Edit[] = states.filter((k) => get(of, k) && k !== v).map((k) => ({ op: 'remove', path: [...path, k] }))
        if (v) edits.push({ op: 'set', path: [...path, v], value: 'true' })
        void edit(...edits)
      }} />
    </>
  )
}

const compass = ['N', 'E', 'S', 'W', 'NE', 'SE', 'SW', 'NW']
export const directions = [...compass, 'down', 'up', 'level', ...compass.slice(0, 4).map((d) => 'down 45 ' + d), ...compass.slice(0, 4).map((d) => 'up 45 ' + d)]
export const directionWords: Record<string, string> = { N: 'North', E: 'East', S: 'South', W: 'West', NE: 'Northeast', SE: 'Southeast', SW: 'Southwest', NW: 'Northwest', down: 'Down', up: 'Up', level: 'Level, any way' }
for (const d of compass) for (const v of ['down', 'up']) directionWords[`${v} 45 ${d}`] = `${directionWords[v]} at 45\u00b0, to the ${directionWords[d].toLowerCase()}`

/** parts takes a leg as written apart; one that is written another way stays whole. */
export function legParts(leg: string): { way: string; length: string } | null {
  const m = /^((?:down|up) 45 [NESW]|N|E|S|W|NE|SE|SW|NW|down|up|level)(?:\s+(-?\d.*))?$/i.exec(leg.trim())
  if (m && /\b(from|[NS]?[EW]?\d+[EW]|[NESW]|NE|SE|SW|NW)\b/i.test(m[2] ?? '')) return null // its degrees are told another way
  if (!m) return null
  const way = directions.find((d) => d.toLowerCase() === m[1].toLowerCase()) ?? m[1]
  return { way, length: m[2] ?? '' }
}

export function Way(props: { label: string; value: string; other?: boolean; onPick: (v: string) => void }) {
  return (
    <div class="field">
      <Select label={props.label} value={props.value} onPick={props.onPick}>
        {directions.map((d) => <option key={d} value={d}>{directionWords[d]}</option>)}
        {props.other && <option value="another">Another, by hand</option>}
      </Select>
    </div>
  )
}

/** LegRow is a leg by its direction and length, or as it is written. */
function LegRow(props: { label: string; leg: string; onChange: (leg: string) => void; onRemove?: () => void }) {
  const byHand = useSignal(false)
  const p = byHand.value ? null : legParts(props.leg)
  return (
    <li class="leg">
      {p
        ? <>
          <Way label={`Direction of ${props.label}`} value={p.way} other onPick={(w) => { if (w === 'another') byHand.value = true; else props.onChange(`${w} ${p.length}`.trim()) }} />
          <Length label={`Length of ${props.label}`} value={p.length} onDone={(l) => props.onChange(`${p.way} ${l}`.trim())} />
        </>
        : <Words label={firstCapital(props.label)} value={props.leg} hint="N30E 4', down 60 from level E 2', or down 22.5 from plumb W 6'" onDone={(v) => { byHand.value = false; if (v) props.onChange(v) }} />}
      {props.onRemove && <button class="plain" aria-label={`Take out ${props.label}`} onClick={props.onRemove}><Icon name="bin" /></button>}
    </li>
  )
}

function Legs({ heading, of }: { heading: 'runs' | 'vents'; of: Entry }) {
  const path = [heading, of.name, 'legs']
  const was = get(of, 'legs')
  const legs = listOf(of, 'legs')
  const length = textOf(of, 'length')
  const put = (i: number, leg: string) => void edit(was?.list ? { op: 'set', path: [...path, String(i)], value: leg } : { op: 'set', path, list: legs.map((l, k) => (k === i ? leg : l)) })
  const next = heading === 'vents' ? 'up' : legs.length ? (legParts(legs[legs.length - 1])?.way === 'down' ? 'E' : 'down') : 'E'
  return (
    <fieldset class="legs">
      <legend>{heading === 'vents' ? 'Legs, from the take-off on' : 'Legs, with the water'}</legend>
      {length && <p class="hint">Its length alone is given, {length}; legs take its place.</p>}
      <ol>
        {legs.map((l, i) => (
          <LegRow key={`${i} ${legs.length}`} label={`leg ${i + 1}`} leg={l} onChange={(v) => put(i, v)}
            onRemove={() => void edit(legs.length === 1 ? { op: 'remove', path } : was?.list ? { op: 'remove', path: [...path, String(i)] } : { op: 'set', path, list: legs.filter((_, k) => k !== i) })} />
        ))}
      </ol>
      <button onClick={() => {
        const edits: Edit[] = [{ op: 'append', path, value: next }]
        if (length) edits[0] = { op: 'append', path, value: `${next} ${length}` }, edits.unshift({ op: 'remove', path: [heading, of.name, 'length'] })
        if (length && get(of, 'lies')) edits.unshift({ op: 'remove', path: [heading, of.name, 'lies'] })
        void edit(...edits)
      }}><Icon name="plus" /> Add a leg</button>
    </fieldset>
  )
}

function Arm({ of }: { of: Entry }) {
  const path = ['runs', of.name, 'arm']
  const was = get(of, 'arm')
  const legs = listOf(of, 'arm')
  const put = (all: string[]) => void edit(all.length === 0 ? { op: 'remove', path } : all.length === 1 && !was?.list ? { op: 'set', path, value: all[0] } : { op: 'set', path, list: all })
  const plain = legs.length === 0 || (legs.length === 1 && /^[\d.]/.test(legs[0]))
  return (
    <fieldset class="legs">
      <legend>Trap arm, weir to its end</legend>
      {plain
        ? <Length label="Length of the trap arm" value={legs[0] ?? ''} onDone={(v) => void edit(...setKey(path, v, was))} />
        : <ol>{legs.map((l, i) => {
          const label = legs.length > 1 ? `leg ${i + 1} of the trap arm` : 'the trap arm'
          return <LegRow key={`${i} ${legs.length}`} label={label} leg={l} onChange={(v) => put(legs.map((x, k) => (k === i ? v : x)))} onRemove={() => put(legs.filter((_, k) => k !== i))} />
        })}</ol>}
      {plain
        ? <button onClick={() => put([`W ${legs[0] ?? ''}`.trim()])}>With its direction</button>
        : <button onClick={() => put([...legs, legParts(legs[legs.length - 1])?.way === 'W' ? 'S' : 'W'])}><Icon name="plus" /> Add a leg to the arm</button>}
    </fieldset>
  )
}

/** wanted is a key that shall be asked for. */
export const wanted = signal<{ of: string; key: string } | null>(null)

/** More shows what else the file says, and offers every other key that it may hold. */
function More({ heading, of, shown }: { heading: 'runs' | 'vents'; of: Entry; shown: string[] }) {
  const said = (of.keys ?? []).filter((k) => !shown.includes(k.name))
  const all = forms.value?.keys[heading] ?? []
  const fixture = get(of, 'fixture')
  const rest = all.filter((k) => !shown.includes(k.name) && !said.some((s) => s.name === k.name))
  const more = rest.filter((k) => fixture || !fixtureKeys.has(k.name))
  const open = wanted.value?.of === of.name ? rest.find((k) => k.name === wanted.value?.key) : undefined
  return (
    <>
      {said.map((s) => {
        const k = keyOf(heading, s.name)
        return k && <KeyField key={k.name} path={[heading, of.name, k.name]} of={k} was={s} on={textOf(of, 'ends')} />
      })}
      {open && <Opened key={'open ' + open.name}><KeyField path={[heading, of.name, open.name]} of={open} was={undefined} on={textOf(of, 'ends')} /></Opened>}
      <Choice label="Say more of it" value="" of={more.map((k) => k.name)} words={Object.fromEntries(more.map((k) => [k.name, `${k.name}: ${k.say}`]))} none="Choose what" onPick={(v) => { wanted.value = { of: of.name, key: v } }} />
    </>
  )
}

/** Opened brings into sight what was asked for. */
function Opened(props: { children: ComponentChildren }) {
  const at = useRef<HTMLDivElement>(null)
  useEffect(() => { setTimeout(() => at.current?.scrollIntoView({ block: 'center' })) }, [])
  return <div ref={at}>{props.children}</div>
}

const fixtureKeys = new Set(['flush', 'flow', 'heads', 'outlets', 'bowls', 'disposer', 'dishwasher', 'use', 'units', 'trap', 'trap type', 'outlet to weir', 'standpipe',
  'trap above floor', 'rim', 'serves', 'apart', 'emergency', 'primer', 'clear side', 'clear front', 'air gap', 'high loop', 'island', 'location', 'drain'])

async function rename(heading: string, from: string, to: string) {
  if (!to) return
  if (await edit({ op: 'rename', path: [heading, from], value: to })) pick(to)
}

/** remove deletes a pipe; what joined it joins what it joined, and its vents go with it. */
async function remove(heading: 'runs' | 'vents', of: Entry) {
  const w = state.value?.written
  if (!w) return
  const edits: Edit[] = []
  let moved = 0
  const gone = new Set([of.name])
  // A vent goes when nothing is left that it takes off from.
  for (let before = 0; before !== gone.size;) {
    before = gone.size
    for (const v of w.vents) if (listOf(v, 'from').length && listOf(v, 'from').every((n) => gone.has(n))) gone.add(v.name)
  }
  const put = (path: string[], v: string, had: boolean) => { if (v) edits.push({ op: 'set', path, value: v }); else if (had) edits.push({ op: 'remove', path }) }
  /** past gives where the water, or the air, of what is gone went on. */
  const past = (name: string, water: boolean) => {
    let to = name
    // A vent that by mistake ends in itself, past others, leads nowhere.
    for (let t = thing(to), left = gone.size; gone.has(to) && t && left-- > 0; t = thing(to)) to = t.heading === 'runs' ? textOf(t.entry, 'joins') : water ? listOf(t.entry, 'from')[0] : textOf(t.entry, 'ends')
    return to
  }
  const on = past(of.name, heading === 'runs')
  for (const r of w.runs) {
    if (gone.has(r.name)) continue
    if (gone.has(textOf(r, 'joins'))) {
      moved++
      edits.push({ op: 'set', path: ['runs', r.name, 'joins'], value: past(textOf(r, 'joins'), true) })
      put(['runs', r.name, 'at'], textOf(of, 'at'), !!get(r, 'at'))
    } else if (gone.has(textOf(r, 'at').replace(/^after /, ''))) edits.push({ op: 'remove', path: ['runs', r.name, 'at'] })
  }
  for (const v of w.vents) {
    if (gone.has(v.name)) { if (v.name !== of.name) edits.push({ op: 'remove', path: ['vents', v.name] }); continue }
    const left = listOf(v, 'from').filter((n) => !gone.has(n))
    if (left.length !== listOf(v, 'from').length) edits.push(left.length > 1 ? { op: 'set', path: ['vents', v.name, 'from'], list: left } : { op: 'set', path: ['vents', v.name, 'from'], value: left[0] })
    if (gone.has(textOf(v, 'ends'))) {
      moved++
      edits.push({ op: 'set', path: ['vents', v.name, 'ends'], value: past(textOf(v, 'ends'), false) })
      if (get(v, 'into at')) edits.push({ op: 'remove', path: ['vents', v.name, 'into at'] })
    }
    for (const key of ['at', 'into at']) if (gone.has(textOf(v, key).replace(/^after /, ''))) edits.push({ op: 'remove', path: ['vents', v.name, key] })
  }
  for (const l of w.walls) if (gone.has(textOf(l, 'from'))) edits.push({ op: 'remove', path: ['walls', l.name] })
  edits.push({ op: 'remove', path: [heading, of.name] })
  if (await edit(...edits)) {
    const with_ = gone.size - 1
    pick('', false)
    tell(`${of.name} is deleted${moved ? `; what came into it goes on to ${on} now` : ''}${with_ ? `; ${with_} vent${with_ > 1 ? 's' : ''} went with it` : ''}. Undo brings it back.`)
  }
}
