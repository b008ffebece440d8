// One pipe: why it is what it is, and everything that the file says of it.
import { signal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { api, Edit, Entry, Reason, WhyPage } from './api'
import { begin } from './add'
import { KeyField, Place, plainSize, setKey, sizes, slopes } from './keys'
import { Length } from './keypad'
import { Choice, Cites, Icon, Select, Usual, Words } from './parts'
import { edit, forms, get, keyOf, listOf, names, panel, pick, picked, state, tell, textOf, thing, walkOf } from './state'
import { FindingLine } from './lists'
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
        <p class="size"><strong>{last.size || 'no size'}</strong> {last.role}, {last.units} {last.atLeast ? 'units or more' : 'units'}{last.waterClosets > 0 && `, ${last.waterClosets} water closet${last.waterClosets > 1 ? 's' : ''}`}</p>
      )}
      {v && <p class="size"><strong>{v.size || 'no size'}</strong> vent of {v.units} units{v.lengthKnown && v.length ? `, ${v.length} long` : ''}</p>}
      {fixture && <p>{fixture.kind}: {fixture.units} units. Trap {fixture.verdict}: {fixture.vented}.</p>}
      {end && <Reasons of={end.reasons} required={end.required} />}
      {v && <Reasons of={v.reasons} required={v.required} />}
      {end?.spare && <p><b>Room left:</b> {end.spare}</p>}
      {end?.next?.map((n, i) => <p key={i}><b>Next step up:</b> {n}</p>)}
      {end?.roleWhy && <p class="soft">{end.role}: {end.roleWhy}</p>}
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
              {[...(x.fails ?? []), ...(x.asks ?? [])].map((f, k) => <p key={k} class="soft">{f.message}</p>)}
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
      <p><b>{required ? `${required} because` : 'Because'}</b> {first.text}</p>
      <Cites of={first.cites} />
      {rest.length > 0 && (
        <details>
          <summary>Also weighed ({rest.length})</summary>
          <ul>{rest.map((r, i) => <li key={i}>{r.min && <b>{r.min}: </b>}{r.text}<Cites of={r.cites} /></li>)}</ul>
        </details>
      )}
    </div>
  )
}

/** At is where on its receiver a pipe joins. */
export const At = (props: { label: string; value: string; none?: string; onPick: (v: string) => void; live?: boolean }) => <Place {...props} none={props.none ?? 'As is usual'} />

function RunFields({ of }: { of: Entry }) {
  const path = ['runs', of.name]
  const set = (key: string, takes = 'text') => (v: string) => { void edit(...setKey([...path, key], v, get(of, key), takes)) }
  const fixture = textOf(of, 'fixture')
  return (
    <div class="fields">
      <Words label="Name" value={of.name} onDone={(v) => rename('runs', of.name, v)} />
      <Choice label="Joins" value={textOf(of, 'joins')} of={['outlet', ...names().filter((n) => n !== of.name)]} onPick={set('joins')} />
      <At label="Where on it" value={textOf(of, 'at')} onPick={set('at')} />
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
  return (
    <div class="fields">
      <Words label="Name" value={of.name} onDone={(v) => rename('vents', of.name, v)} />
      {get(of, 'from')?.list
        ? <Words label="From, several with commas" value={listOf(of, 'from').join(', ')} onDone={set('from', 'texts')} />
        : <Choice label="From" value={textOf(of, 'from')} of={[...names(), ...others]} onPick={set('from')} />}
      <At label="Where on it" value={textOf(of, 'at')} onPick={set('at')} />
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

export const directions = ['N', 'E', 'S', 'W', 'NE', 'SE', 'SW', 'NW', 'down', 'up', 'level']
export const directionWords: Record<string, string> = { N: 'North', E: 'East', S: 'South', W: 'West', NE: 'Northeast', SE: 'Southeast', SW: 'Southwest', NW: 'Northwest', down: 'Down', up: 'Up', level: 'Level, any way' }

/** parts takes a leg as written apart; one that is written another way stays whole. */
export function legParts(leg: string): { way: string; length: string } | null {
  const m = /^(N|E|S|W|NE|SE|SW|NW|down|up|level)(?:\s+(-?\d.*))?$/i.exec(leg.trim())
  if (!m) return null
  const way = directions.find((d) => d.toLowerCase() === m[1].toLowerCase()) ?? m[1]
  return { way, length: m[2] ?? '' }
}

export function Way(props: { label: string; value: string; onPick: (v: string) => void }) {
  return (
    <div class="field">
      <Select label={props.label} value={props.value} onPick={props.onPick}>
        {directions.map((d) => <option key={d} value={d}>{directionWords[d]}</option>)}
      </Select>
    </div>
  )
}

function LegRow(props: { label: string; leg: string; onChange: (leg: string) => void; onRemove?: () => void }) {
  const p = legParts(props.leg)
  return (
    <li class="leg">
      {p
        ? <>
          <Way label={`Direction of ${props.label}`} value={p.way} onPick={(w) => props.onChange(`${w} ${p.length}`.trim())} />
          <Length label={`Length of ${props.label}`} value={p.length} onDone={(l) => props.onChange(`${p.way} ${l}`.trim())} />
        </>
        : <Words label={props.label} value={props.leg} onDone={(v) => { if (v) props.onChange(v) }} />}
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
  const many = was?.list
  if (many && many.length > 1) return <Words label="Trap arm, weir to its end" value={many.join(', ')} onDone={(v) => void edit(...setKey(path, v, was, 'legs'))} />
  const leg = many ? many[0] : (was?.text ?? '')
  const p = legParts(leg)
  return (
    <fieldset class="legs">
      <legend>Trap arm, weir to its end</legend>
      {p
        ? <ol><LegRow label="the trap arm" leg={leg} onChange={(v) => void edit({ op: 'set', path, value: v })} onRemove={() => void edit({ op: 'remove', path })} /></ol>
        : <>
          <Length label="Length of the trap arm" value={leg} onDone={(v) => void edit(...setKey(path, v, was))} />
          {!leg && <button onClick={() => void edit({ op: 'set', path, value: 'W' })}>With its direction</button>}
        </>}
    </fieldset>
  )
}

const wanted = signal<{ of: string; key: string } | null>(null)

/** More shows what else the file says, and offers every other key that it may hold. */
function More({ heading, of, shown }: { heading: 'runs' | 'vents'; of: Entry; shown: string[] }) {
  const said = (of.keys ?? []).filter((k) => !shown.includes(k.name))
  const all = forms.value?.keys[heading] ?? []
  const fixture = get(of, 'fixture')
  const rest = all.filter((k) => !shown.includes(k.name) && !said.some((s) => s.name === k.name))
  const open = wanted.value?.of === of.name ? rest.find((k) => k.name === wanted.value?.key) : undefined
  return (
    <>
      {said.map((s) => {
        const k = keyOf(heading, s.name)
        return k && <KeyField key={k.name} path={[heading, of.name, k.name]} of={k} was={s} />
      })}
      {open && <KeyField key={'open ' + open.name} path={[heading, of.name, open.name]} of={open} was={undefined} />}
      <Choice label="Say more of it" value="" of={rest.filter((k) => fixture || !fixtureKeys.has(k.name)).map((k) => k.name)} none="Choose what" onPick={(v) => { wanted.value = { of: of.name, key: v } }} />
    </>
  )
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
  let moved = 0, gone = 0
  if (heading === 'runs') {
    const to = textOf(of, 'joins'), at = textOf(of, 'at')
    for (const r of w.runs) {
      if (textOf(r, 'joins') !== of.name) continue
      moved++
      edits.push({ op: 'set', path: ['runs', r.name, 'joins'], value: to })
      if (at) edits.push({ op: 'set', path: ['runs', r.name, 'at'], value: at })
      else if (get(r, 'at')) edits.push({ op: 'remove', path: ['runs', r.name, 'at'] })
    }
  }
  for (const v of w.vents) {
    if (v.name === of.name || !listOf(v, 'from').includes(of.name)) continue
    gone++
    edits.push({ op: 'remove', path: ['vents', v.name] })
  }
  edits.push({ op: 'remove', path: [heading, of.name] })
  if (await edit(...edits)) {
    pick('', false)
    tell(`${of.name} is deleted${moved ? `; what joined it joins ${textOf(of, 'joins')} now` : ''}${gone ? `; ${gone} vent${gone > 1 ? 's' : ''} went with it` : ''}. Undo brings it back.`)
  }
}
