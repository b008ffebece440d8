// The schedule of pipes, the findings and the questions.
import { signal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import { begin } from './add'
import { lineToShow } from './editor'
import { outView } from './out'
import { Answer, api, Edit, Entry, Finding, Fixes as Found, placeOf, Undone } from './api'
import { common, isCode, KeyField, Place, setKey, sizes, slopes, titled, titles } from './keys'
import { Length, metric } from './keypad'
import { directionWords, wanted } from './pipe'
import { Choice, Cites, firstCapital, Icon, Say, severityWord, unitWords, Usual, Words } from './parts'
import { books, edit, flush, forms, get, levels, look, panel, pick, pointed, preview, setText, state, tell, textOf, thing, walkOf } from './state'

// Findings

/** plain says in the page's words what the engine says in those of the file and of the
 *  commands. */
export const plain = (s: string) => s.replace(/`trapweir (\w+)[^`]*`/g, (_, c: string) => commands[c] ?? 'the program').replace(/`/g, '')
const commands: Record<string, string> = { fall: 'the list of fall and hangers', fix: 'the changes under Findings', books: 'Add, Fixture,', check: 'Findings', order: 'the order', draw: 'the drawing' }

/** keyIn is the key of a pipe that a finding says to write. */
function keyIn(f: Finding, on: string): string {
  const t = thing(on)
  const keys = t ? (forms.value?.keys[t.heading] ?? []) : []
  for (const m of (f.try ?? '').matchAll(/`([a-z][a-z ]*?)(?::[^`]*)?`/g)) if (keys.some((k) => k.name === m[1])) return m[1]
  return ''
}

/** FindingLine is one finding with the number of its balloon. */
export function FindingLine({ f, n, here }: { f: Finding; n: number; here?: boolean }) {
  const at = useRef<HTMLLIElement>(null)
  const on = pointed.value === n
  useEffect(() => { if (on && !here) at.current?.scrollIntoView({ block: 'nearest' }) }, [on])
  const to = f.on.name && thing(f.on.name) ? f.on.name : ''
  const key = keyIn(f, to)
  return (
    <li ref={at} class={'finding ' + kindOf(f) + (on ? ' on' : '')}>
      <span class="balloon">{f.severity === 'error' || f.severity === 'warning' ? <><span class="unseen">Number </span>{n + 1}</> : <span aria-hidden="true">{f.severity === 'note' ? 'i' : '?'}</span>}</span>
      <div>
        <p class="sev">{severityWord[f.severity]}</p>
        <p><b><Say of={firstCapital(plain(f.message))} /></b></p>
        {f.ask && <p>{firstCapital(plain(question(f.ask)))}</p>}
        {f.why && <p class="soft">Why it matters: {plain(f.why)}</p>}
        {f.try && <p>Instead: <Say of={plain(f.try)} /></p>}
        <Cites of={f.cites} />
        <div class="row">
          {!here && to && <button onClick={() => { pick(to); pointed.value = n }}>Go to {to}</button>}
          {to && key && <button onClick={() => { pick(to); pointed.value = n; wanted.value = { of: to, key } }}>{firstCapital(key)} of {to}</button>}
          {/`trapweir fall/.test(f.try ?? '') && <button onClick={() => { outView.value = 'fall'; panel.value = 'out' }}>Fall and hangers</button>}
        </div>
      </div>
    </li>
  )
}

export const kindOf = (f: Finding) => ({ 'error': 'bad', 'warning': 'warn', 'not checked': 'ask', 'note': 'note' })[f.severity]

export function Findings() {
  const r = state.value?.result
  if (!r) return null
  const all = r.findings.map((f, i) => ({ f, i })).filter((x) => x.f.severity !== 'not checked')
  return (
    <section aria-label="Findings">
      <header class="pane-head"><h2>Findings</h2></header>
      {r.faults.length > 0 && (
        <ul class="findings">
          {r.faults.map((f, i) => (
            <li key={i} class={'finding ' + kindOf(f)}>
              <div>
                <p class="sev">In the file{placeOf(f.at).line > 0 && `, line ${placeOf(f.at).line}`}</p>
                <p><b>{firstCapital(plain(f.message))}</b></p>
                {f.try && <p>Instead: {plain(f.try)}</p>}
                <button onClick={() => { lineToShow.value = placeOf(f.at).line; panel.value = 'file' }}>Go to the file</button>
              </div>
            </li>
          ))}
        </ul>
      )}
      <Fixes />
      {all.length === 0 && r.faults.length === 0 && <p>Nothing was found broken where it was looked. What could not be looked at stands under Questions.</p>}
      <ul class="findings">{all.map((x) => <FindingLine key={x.i} f={x.f} n={x.i} />)}</ul>
      <p class="caution">{r.caution}</p>
    </section>
  )
}

// Proposals

const fixes = signal<{ rev: string; all: Found } | null>(null)
const looking = signal(false)

function Fixes() {
  const s = state.value
  if (!s || unread(s) || s.result.totals.errors + s.result.totals.warnings === 0) return null
  const fresh = fixes.value?.rev === s.rev ? fixes.value.all : null
  const seek = async () => {
    looking.value = true
    try {
      await flush()
      const now = state.value
      if (now) fixes.value = { rev: now.rev, all: await api.fixes(now.name) }
    } catch (e) { tell((e as Error).message, true) }
    looking.value = false
  }
  return (
    <div class="fixes">
      {!fresh && <button class="main" onClick={seek} disabled={looking.value}>{looking.value ? 'Looking for changes ...' : 'Look for changes that settle these'}</button>}
      {fresh && fresh.changes.length === 0 && fresh.people.length === 0 && <p>No change that this program can make by itself settles what was found.</p>}
      {fresh?.changes.map((f, i) => (
        <article key={i} class="fix">
          <h3>{firstCapital(plain(f.title))}</h3>
          <dl class="facts">
            <dt>Cures</dt><dd>{plain(f.about)}{f.also > 0 && `, and ${f.also} more`}</dd>
            {f.legal && <><dt>Meets</dt><dd>{plain(f.legal)}</dd></>}
            {f.cost && <><dt>Takes</dt><dd>{plain(f.cost)}</dd></>}
            {f.changes && <><dt>Also changes</dt><dd>{plain(f.changes)}</dd></>}
            {f.reserve && <><dt>Against it</dt><dd class="warn">{plain(f.reserve)}</dd></>}
            {f.if && <><dt>Whether</dt><dd class="ask">it cures hangs on the answer to what it leaves open</dd></>}
            {f.asks && f.asks.length > 0 && <><dt>Leaves open</dt><dd class="ask">{f.asks.map((a, k) => <p key={k}>{firstCapital(question(a))}</p>)}</dd></>}
            {f.care && <><dt>Take care</dt><dd class="warn">{plain(f.care)}</dd></>}
          </dl>
          <div class="row">
            <button onClick={async () => {
              try {
                const t = await api.solve(s.name, f.text, look.value)
                preview.value = { svg: t.svg, says: t.says, pipes: t.pipes, title: f.title, text: f.text }
              } catch (e) { tell((e as Error).message, true) }
            }}>Show it</button>
            <button class="main" onClick={async () => { if (await setText(f.text)) tell(`${f.title}: done. Undo takes it back.`) }}>Do it</button>
            {preview.value?.text === f.text && <button onClick={() => { preview.value = null }}>Show the job as it is</button>}
          </div>
        </article>
      ))}
      {(fresh?.people as Undone[] | undefined)?.map((p, i) => (
        <article key={'p' + i} class="fix">
          <h3>For you to decide</h3>
          <dl class="facts">
            <dt>It is about</dt><dd>{plain(p.about)}</dd>
            {p.tried?.map((x, k) => <><dt key={k}>Does not do</dt><dd>{firstCapital(plain(x.do))}: {plain(x.but)}</dd></>)}
            {p.untried && <><dt>Not tried</dt><dd>{p.untried === 1 ? 'One more way' : `${p.untried} more ways`}: the job is large. Cure others first, then look again</dd></>}
            {p.decide && <><dt>Decide</dt><dd>{firstCapital(plain(p.decide))}</dd></>}
            {p.advice?.map((a, k) => <><dt key={k}>Would help</dt><dd>{firstCapital(plain(a))}</dd></>)}
          </dl>
        </article>
      ))}
    </div>
  )
}

/** unread tells that the text cannot be read as it stands. */
const unread = (s: { result: { runs: unknown[]; faults: Finding[] } }) => s.result.runs.length === 0 && s.result.faults.length > 0

/** Unread says so where a list would stand. */
const Unread = () => <><p>The file cannot be read as it stands, so there is nothing to list.</p><button onClick={() => { panel.value = 'findings' }}>See what is wrong</button></>

// Questions

interface Question { ask: string; why?: string; of: { f: Finding; i: number }[]; answers: Answer[] }

/** questions puts together what one answer would settle. */
function questions(): Question[] {
  const s = state.value
  if (!s) return []
  const out = new Map<string, Question>()
  s.result.findings.forEach((f, i) => {
    if (f.severity !== 'not checked') return
    const answers = s.answers.filter((a) => a.finding === i)
    const id = answers.length ? answers.map((a) => a.path.join('\u0000')).join('\u0001') : f.ask ?? f.message
    const q = out.get(id)
    if (q) q.of.push({ f, i })
    else out.set(id, { ask: f.ask ?? f.message, why: f.why, of: [{ f, i }], answers })
  })
  return [...out.values()]
}

/** AboutWhom names what a question speaks of as "it". */
function AboutWhom({ q }: { q: Question }) {
  const all = [...new Set(q.of.map((x) => x.f.on.name ?? ''))].filter((n) => n && !q.ask.includes(n))
  return all.length ? <p class="soft">About {all.slice(0, 3).join(', ')}{all.length > 3 && ` and ${all.length - 3} more`}</p> : null
}

export function Questions() {
  const list = questions()
  return (
    <section aria-label="Questions">
      <header class="pane-head"><h2>Questions</h2></header>
      {state.value && unread(state.value) ? <Unread /> : <p>{list.length === 0 ? 'Nothing is left open.' : 'What could not be checked yet, each with the one thing that settles it.'}</p>}
      <ul class="questions">
        {list.map((q) => (
          <li key={q.ask} class={'question' + (q.of.some((x) => x.i === pointed.value) ? ' on' : '')}>
            <p><b>{firstCapital(plain(q.answers.length ? question(q.ask) : q.ask))}</b></p>
            <AboutWhom q={q} />
            {q.answers.map((a) => <AnswerField key={a.path.join(' ')} a={a} />)}
            {q.answers.length === 0 && <Noted ask={q.ask} />}
            <details>
              <summary>{q.of.length === 1 ? 'What it is about' : `Settles ${q.of.length} things`}</summary>
              <ul class="about">
                {q.of.map(({ f, i }) => (
                  <li key={i}>
                    <div>
                      <p>{firstCapital(plain(f.message))}</p>
                      {f.why && <p class="soft">{firstCapital(plain(f.why))}</p>}
                      <Cites of={f.cites} />
                      {f.on.name && thing(f.on.name) && <button onClick={() => { pick(f.on.name!); pointed.value = i }}>Go to {f.on.name}</button>}
                    </div>
                  </li>
                ))}
              </ul>
            </details>
          </li>
        ))}
      </ul>
    </section>
  )
}

/** question leaves out what to write in the file, where the page writes it. */
const question = (ask: string) => ask.replace(/\? write .*$/, '?').replace(/`/g, '')

/** answered puts what was answered where an edit has its "%". */
function answered(edits: Edit[], v: string): Edit[] {
  const p = (s: string | undefined) => s?.replaceAll('%', v)
  return edits.map((e) => ({
    ...e, value: p(e.value), list: e.list?.map((x) => p(x)!),
    items: e.items?.map((x) => ({ value: p(x.value), fields: x.fields?.map((f) => ({ ...f, value: p(f.value) })) })),
  }))
}

function AnswerField({ a }: { a: Answer }) {
  const where = a.path.length > 1 ? (a.path[0] === 'runs' || a.path[0] === 'vents' ? [a.path[1], ...a.path.slice(2, -1).filter((x) => !/^(\d+|legs|cleanouts)$/.test(x))] : a.path.slice(0, -1)).join(', ') : 'the job'
  const label = `${firstCapital(a.label)} (${where})`
  const send = (v: string) => { if (v) void edit(...(a.edits ? answered(a.edits, v) : setKey(a.path, v, undefined, a.takes))) }
  switch (a.takes) {
    case 'vent': return <div class="row"><button onClick={() => begin('vent', a.example ?? '')}><Icon name="plus" /> Draw the vent{a.example && ` from ${a.example}`}</button></div>
    case 'place': return <Place label={label} value="" none={a.edits ? 'There is none, or not known' : 'Not said'} onPick={send} />
    case 'flag': return <Choice label={label} value="" of={['yes', 'no']} none="Not said" onPick={send} />
    case 'word':
      if (a.open) return <Usual label={label} value="" usual={common(a.path, a.label) ?? [...new Set([...(a.example ? [a.example] : []), ...(a.words ?? [])])]} none="Not said" placeholder={a.example} onPick={send} />
      return <Choice label={label} value="" of={a.words ?? []} none="Not said" onPick={send} />
    case 'length': case 'height': return <Length label={label} value="" placeholder={metric() && /['"]/.test(a.example ?? '') ? undefined : a.example} onDone={send} />
    case 'size': return <Usual label={label} value="" usual={sizes} none="Not said" onPick={send} />
    case 'slope': return <Usual label={label} value="" usual={slopes()} none="Not said" onPick={send} />
  }
  if (a.label === 'code' && a.path.length === 1) {
    const all = books.value.filter((b) => isCode(b.kind))
    return <Choice label={label} value="" of={all.map((b) => b.id)} words={titles(all)} none="Not known yet" onPick={send} />
  }
  if (a.path[a.path.length - 1] === 'level' && levels().length) return <Choice label={label} value="" of={levels()} none="Not said" onPick={send} />
  const usual = common(a.path, a.label)
  if (usual) return <Usual label={label} value="" usual={usual} none="Not said" placeholder={a.example} onPick={send} />
  return <Words label={label} value="" placeholder={a.example} onDone={send} />
}

/** Noted keeps the answer to a question that no key of the file settles. */
function Noted({ ask }: { ask: string }) {
  return (
    <Words label="What you were told, kept as a note" value="" hint="No word of the file settles this one: ask, and keep the answer with the job." onDone={(v) => {
      if (v) void edit({ op: 'append', path: ['notes'], value: `${firstCapital(ask.replace(/`/g, ''))} ${v}` })
    }} />
  )
}

// The schedule of pipes

const sought = signal('')
const house = signal(false)

export function Pipes() {
  const s = state.value
  if (!s) return null
  if (house.value) return <House />
  const want = sought.value.toLowerCase()
  const hit = (e: Entry) => !want || e.name.toLowerCase().includes(want) || (e.keys ?? []).some((k) => (k.text ?? '').toLowerCase().includes(want))
  const runs = s.written.runs.filter(hit), vents = s.written.vents.filter(hit)
  const pieces = new Map(s.result.runs.map((r) => [r.name, r.pieces]))
  const sizesOf = new Map(s.result.vents.map((v) => [v.name, v.size]))
  const worst = new Map<string, string>()
  for (const f of [...s.result.findings].reverse()) if (f.on.name) worst.set(f.on.name, kindOf(f))
  const row = (e: Entry, size: string, words: string) => (
    <li key={e.name}>
      <button class="line" onClick={() => pick(e.name)}>
        <span class="name">{e.name}</span>
        <span class="what">{words}</span>
        <span class="num">{size}</span>
        {worst.has(e.name) && <span class={'dot ' + worst.get(e.name)}><span class="unseen">{{ bad: 'broken', warn: 'to settle', ask: 'not checked', note: 'note' }[worst.get(e.name)!]}</span></span>}
      </button>
    </li>
  )
  return (
    <section aria-label="Pipes">
      <header class="pane-head"><h2>Pipes</h2></header>
      {unread(s) ? <Unread /> : <div class="row">
        <button onClick={() => { house.value = true }}>The house and its code</button>
        <button onClick={() => { walkOf.value = '' }}><Icon name="drop" /> Follow the water from the farthest fixture</button>
      </div>}
      <Words label="Find" value={sought.value} live placeholder="a name, a room, a fixture" onDone={(v) => { sought.value = v }} />
      <h3>Drains <span class="count">{runs.length}</span></h3>
      <ul class="lines">
        {runs.map((e) => {
          const ps = pieces.get(e.name) ?? []
          const all = [...new Set(ps.map((p) => p.size).filter((x) => x))]
          return row(e, all.join(' to '), get(e, 'fixture')?.text ?? (ps.length ? `${ps[ps.length - 1].role}, ${unitWords(ps[ps.length - 1].units)}` : ''))
        })}
      </ul>
      <h3>Vents <span class="count">{vents.length}</span></h3>
      <ul class="lines">{vents.map((e) => row(e, sizesOf.get(e.name) ?? '', get(e, 'ends')?.text ?? ''))}</ul>
      {s.result.basis.title && <p class="soft">Sized by {s.result.basis.title}{(s.result.basis.layers ?? []).slice(1).map((l) => `, ${titled(l)}`)}.</p>}
    </section>
  )
}

const fresh = signal({ level: '', floor: '', wall: '', from: '', side: 'S', away: '' })
const setFresh = (c: Partial<typeof fresh.value>) => { fresh.value = { ...fresh.value, ...c } }

/** topWords are what the page calls some keys of the whole job. */
const topWords: Record<string, string> = { job: 'Title', with: 'Amendments and shop practice', units: 'Units of measure', loads: 'Units are counted for' }

/** House holds what is said of the whole job: code, site, levels, outlet, walls. */
function House() {
  const s = state.value
  const f = forms.value
  if (!s || !f) return null
  const { level, floor, wall, from, side, away } = fresh.value
  return (
    <article aria-label="The house and its code">
      <header class="pane-head">
        <button class="plain" aria-label="Back to the list of pipes" onClick={() => { house.value = false }}><Icon name="back" /></button>
        <h2>The house and its code</h2>
      </header>
      <div class="fields">
        {f.keys.top.map((k) => <KeyField key={k.name} path={[k.name]} of={k} was={s.written.top.find((e) => e.name === k.name)} label={topWords[k.name]} />)}
      </div>
      <h3>Levels</h3>
      {s.written.levels.map((l) => (
        <fieldset key={l.name}>
          <legend>{l.name}</legend>
          <Words label={`Name of level ${l.name}`} value={l.name} onDone={(v) => { if (v) void edit({ op: 'rename', path: ['levels', l.name], value: v }) }} />
          {f.keys.levels.map((k) => <KeyField key={k.name} path={['levels', l.name, k.name]} of={k} was={get(l, k.name)} />)}
          <button class="danger" onClick={() => void edit({ op: 'remove', path: ['levels', l.name] })}><Icon name="bin" /> Delete level {l.name}</button>
        </fieldset>
      ))}
      <fieldset>
        <legend>Add a level</legend>
        <Words label="Name of the level" value={level} live onDone={(v) => setFresh({ level: v })} />
        <Length label="Height of its floor" value={floor} live onDone={(v) => setFresh({ floor: v })} />
        <button disabled={!level.trim()} onClick={async () => {
          if (await edit({ op: 'add', path: ['levels', level.trim()], fields: floor ? [{ key: 'floor', value: floor }] : [] })) setFresh({ level: '', floor: '' })
        }}><Icon name="plus" /> Add the level</button>
      </fieldset>
      {f.keys.walls && <h3>Walls that stubs are measured from</h3>}
      {f.keys.walls && s.written.walls.map((l) => (
        <fieldset key={l.name}>
          <legend>{l.name}</legend>
          <Words label={`Name of wall ${l.name}`} value={l.name} onDone={(v) => { if (v) void edit({ op: 'rename', path: ['walls', l.name], value: v }) }} />
          {f.keys.walls!.map((k) => k.name === 'from'
            ? <Choice key={k.name} label="Told from the end of" value={textOf(l, 'from')} of={s.written.runs.map((r) => r.name)} onPick={(v) => void edit({ op: 'set', path: ['walls', l.name, 'from'], value: v })} />
            : <KeyField key={k.name} path={['walls', l.name, k.name]} of={k} was={get(l, k.name)} />)}
          <button class="danger" onClick={() => void edit({ op: 'remove', path: ['walls', l.name] })}><Icon name="bin" /> Delete wall {l.name}</button>
        </fieldset>
      ))}
      {f.keys.walls && (
        <fieldset>
          <legend>Add a wall</legend>
          <Words label="Name of the wall" value={wall} live onDone={(v) => setFresh({ wall: v })} />
          <Choice label="Told from the end of" value={from} of={s.written.runs.map((r) => r.name)} none="Choose a pipe" onPick={(v) => setFresh({ from: v })} />
          <Choice label="From there it lies to the" value={side} of={['N', 'E', 'S', 'W']} words={directionWords} onPick={(v) => setFresh({ side: v })} />
          <Length label="How far to its face" value={away} live onDone={(v) => setFresh({ away: v })} />
          <button disabled={!wall.trim() || !from || !away} onClick={async () => {
            if (await edit({ op: 'set', path: ['walls', wall.trim(), 'from'], value: from }, { op: 'set', path: ['walls', wall.trim(), 'legs'], value: `${side} ${away}` })) setFresh({ wall: '', from: '', away: '' })
          }}><Icon name="plus" /> Add the wall</button>
        </fieldset>
      )}
    </article>
  )
}
