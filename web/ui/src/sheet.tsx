// The sheet: the drawing in its frame, with zoom, pan and pinch. What is drawn comes from
// the server; here it is only looked at and touched.
import { useEffect, useLayoutEffect, useRef } from 'preact/hooks'
import { computed, signal, useSignal } from '@preact/signals'
import { drawnFrom } from './add'
import { Hold, leaveWordsOut, Picture, Point, WayTo } from './api'
import { inSteps, keypad, metric } from './keypad'
import { edit, large, look, narrow, panel, pick, picked, pointed, preview, setLength, show as showSheet, state, tell, textOf, thing, walkOf } from './state'
import { Icon } from './parts'
import { directionWords as wayWords } from './pipe'

interface Box { x: number; y: number; w: number; h: number }

/** readable is how many pixels a millimetre of the sheet takes when its small words can be read. */
const readable = 4.2

/** far is how many pixels a millimetre takes when words are only grey. A large building is
 *  looked at without them until it is nearer. */
const far = 1.2

/** idOf is the thing in the job that an element of the drawing stands for. */
function idOf(el: Element | null): string {
  for (let e = el; e && !(e instanceof SVGSVGElement); e = e.parentElement) {
    const id = e.getAttribute('data-id') ?? e.id
    if (id) return id
  }
  return ''
}

/** nameOf gives the run or vent of an id such as "hall bath lav.arm", "" if there is none. */
export function nameOf(id: string): string {
  for (let end = id.length; end > 0; end--) {
    if ((end === id.length || '.:#/'.includes(id[end])) && thing(id.slice(0, end))) return id.slice(0, end)
  }
  return ''
}

/** findingOf gives the number of the finding that an id is the balloon of, or -1. */
export function findingOf(id: string): number {
  const m = /^(?:finding|balloon)[ .:-]?(\d+)/.exec(id)
  return m ? Number(m[1]) - 1 : -1
}

/** seen is the part of the sheet that is on the screen, and how: pixels for a millimetre, and
 *  where the sheet's corner lies in the frame. */
interface Seen { k: number; x: number; y: number; w: number; far: boolean }
const seen = signal<Seen | null>(null)
const wordless = computed(() => !!seen.value?.far)
/** drawing is the state of drawing a new pipe by hand. */
const drawing = signal(false)
/** pull is what is being done with a finger: a leg made longer, or a new one drawn. */
type Pull =
  | { kind: 'length'; hold: Hold; steps: number; to: Point }
  | { kind: 'joint'; joint: Joint; at: number; by: string; says?: string; to: Point }
  | { kind: 'draw'; name: string; heading: string; at: number; known: boolean; from: Point; way: WayTo | null; steps: number; to: Point }
const pull = signal<Pull | null>(null)
const pulling = computed(() => pull.value !== null)

const sheetAt = (v: Seen, p: Point): Point => [p[0] * v.k + v.x, p[1] * v.k + v.y]
const dist = (a: Point, b: Point) => Math.hypot(a[0] - b[0], a[1] - b[1])

/** snapped gives a number of steps as it is set: every one where they can be told apart, every
 *  other one (a whole inch) where not. */
function snapped(steps: number, px: number): number {
  const by = metric() || px >= 5 ? 1 : 2
  return Math.max(by, Math.round(steps / by) * by)
}

/** marked is a place along a pipe as it is set: whole inches or ten millimetres. */
const marked = (at: number) => (metric() ? Math.round(at) : Math.round(at / 2) * 2)

/** pulled is the length of a leg when its end is moved by pixels. */
function pulled(h: Hold, v: Seen, dx: number, dy: number): number {
  const [x, y] = [h.step[0] * v.k, h.step[1] * v.k]
  const px = Math.hypot(x, y)
  if (px === 0) return h.steps
  return snapped(h.steps + (dx * x + dy * y) / (px * px), px)
}

/** onto is the place between a and b that is nearest to p, and how far it is from a to b. */
function onto(p: Point, a: Point, b: Point): { t: number; point: Point } {
  const l2 = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2
  const t = l2 ? Math.min(1, Math.max(0, ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / l2)) : 0
  return { t, point: [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])] }
}

/** nearest is the place on a pipe that is nearest to a place on the screen. */
function nearest(v: Seen, x: number, y: number, reach: number) {
  let best: { hold: Hold; at: number; known: boolean; point: Point } | null = null
  const at: Point = [(x - v.x) / v.k, (y - v.y) / v.k]
  for (const hold of state.value?.holds ?? []) {
    for (const s of hold.pieces) {
      const { t, point } = onto(at, s.a, s.b)
      const d = dist(point, at) * v.k
      if (d < reach) { reach = d; best = { hold, at: s.from + t * (s.to - s.from), known: s.known, point } }
    }
  }
  return best
}

/** wayTo is the direction that a pull comes nearest to, and how many steps it goes. */
function wayTo(v: Seen, dx: number, dy: number): { way: WayTo | null; steps: number } {
  let way: WayTo | null = null, most = 0, steps = 0
  const d = Math.hypot(dx, dy)
  for (const w of state.value?.ways ?? []) {
    const px = Math.hypot(w.step[0], w.step[1]) * v.k
    const along = (dx * w.step[0] + dy * w.step[1]) * v.k / px
    if (px > 0 && along > most) { most = along; way = w; steps = snapped(along / px, px) }
  }
  return d < 12 ? { way: null, steps: 0 } : { way, steps }
}

/** Joint is where what is picked meets the pipe that it joins, or takes off from. */
interface Joint { heading: 'runs' | 'vents'; name: string; on: string; holds: Hold[]; end: Point; at: number }

/** joint of what is picked; none where the drawing does not show both, or a length along the
 *  other pipe is not known. */
function joint(): Joint | null {
  const it = picked.value && !preview.value && !drawing.value ? thing(picked.value) : null
  if (!it) return null
  const vent = it.heading === 'vents'
  const on = textOf(it.entry, vent ? 'from' : 'joins')
  const mine = (state.value?.holds ?? []).filter((h) => h.name === picked.value)
  const holds = (state.value?.holds ?? []).filter((h) => h.name === on && h.pieces.some((p) => p.known))
  const leg = vent ? mine[0] : mine[mine.length - 1]
  if (!leg || !holds.length) return null
  const n = nearestOn(holds, leg.fixed)
  return n && n.far < 1 ? { heading: it.heading, name: picked.value, on, holds, end: leg.fixed, at: n.at } : null
}

/** nearestOn is the place on some legs that is nearest to a place on the sheet. */
function nearestOn(holds: Hold[], to: Point): { at: number; point: Point; far: number; step: number } | null {
  let best: { at: number; point: Point; far: number; step: number } | null = null
  for (const h of holds) {
    for (const s of h.pieces) {
      if (!s.known) continue
      const { t, point } = onto(to, s.a, s.b)
      const far = dist(point, to)
      if (!best || far < best.far) best = { at: s.from + t * (s.to - s.from), point, far, step: s.to > s.from ? dist(s.a, s.b) / (s.to - s.from) : 0 }
    }
  }
  return best
}

/** pointAt is where on some legs a distance along the pipe lies. */
function pointAt(holds: Hold[], at: number): Point | null {
  for (const h of holds) {
    for (const s of h.pieces) {
      if (at < s.from - 1e-6 || at > s.to + 1e-6) continue
      const t = s.to > s.from ? (at - s.from) / (s.to - s.from) : 0
      return [s.a[0] + t * (s.b[0] - s.a[0]), s.a[1] + t * (s.b[1] - s.a[1])]
    }
  }
  return null
}

/** joined is the place on the other pipe to which a joint is pulled: the end of the pipe, or
 *  where another pipe joins it, when it comes near; else on whole steps that can be told
 *  apart under the finger. */
function joined(j: Joint, v: Seen, x: number, y: number): { at: number; by: string; says?: string; to: Point } | null {
  const n = nearestOn(j.holds, [(x - v.x) / v.k, (y - v.y) / v.k])
  if (!n) return null
  const known = j.holds.flatMap((h) => h.pieces).filter((p) => p.known)
  const first = known[0].from, last = known[known.length - 1].to
  const marks: { at: number; by: string; says?: string }[] = []
  if (first === 0) marks.push({ at: 0, by: 'upper end', says: 'upper end' })
  if (known.length === j.holds.flatMap((h) => h.pieces).length) marks.push({ at: last, by: 'lower end', says: 'lower end' })
  const drains = state.value?.written.runs ?? [], vents = state.value?.written.vents ?? []
  for (const o of [...drains, ...vents]) {
    if (o.name === j.name || textOf(o, drains.includes(o) ? 'joins' : 'from') !== j.on) continue
    const leg = (state.value?.holds ?? []).filter((h) => h.name === o.name)
    const end = drains.includes(o) ? leg[leg.length - 1]?.fixed : leg[0]?.fixed
    const m = end && nearestOn(j.holds, end)
    const said = textOf(o, 'at') // as it is written, so that both join at one place to the last fraction
    if (m && m.far < 1) marks.push({ at: m.at, by: 'with ' + o.name, says: /^after\b/i.test(said) ? '' : said })
  }
  const px = n.step * v.k
  let best: (typeof marks)[number] | null = null
  for (const m of marks) {
    if (Math.abs(m.at - n.at) * px < 9 && (!best || Math.abs(m.at - n.at) < Math.abs(best.at - n.at))) best = m
  }
  const by = (metric() ? [1, 5, 10, 50, 100] : [2, 6, 12, 24]).find((b) => b * px >= 4) ?? (metric() ? 100 : 24)
  const at = best ? best.at : Math.min(last, Math.max(first, Math.round(n.at / by) * by))
  const to = pointAt(j.holds, at)
  return to && { at, by: best?.by ?? '', says: best?.says, to }
}

/** placeWords is what the file says of a place so far along. */
const placeWords = (j: { at: number; says?: string }) => j.says || inSteps(j.at)

export function Sheet() {
  const frame = useRef<HTMLDivElement>(null)
  const box = useRef<Box | null>(null)
  const whole = useRef<Box | null>(null)
  const own = useRef(false) // the reader has moved the view
  const zoomed = useSignal(100)
  const shown = preview.value?.svg ?? state.value?.svg ?? none
  const pipes = useRef(state.value?.pipes)
  pipes.current = preview.value?.pipes ?? state.value?.pipes

  const result = state.value?.result
  const stale = !preview.value && !!result && result.runs.length === 0 && result.faults.length > 0

  const svg = () => frame.current?.querySelector('svg') ?? null
  /** size of the frame; it is not asked of a page that has just changed. */
  const size = useRef({ w: 0, h: 0 })
  /** paper: the whole sheet is looked at. Else its lists and title stand outside the page, and
   *  the pipes are shown without a strip of them. */
  const paper = useRef(false)
  const asked = useRef(false) // for the words
  const put = (s: SVGSVGElement | null) => {
    frame.current?.toggleAttribute('data-bare', !!pipes.current && !paper.current)
    const b = box.current, { w, h } = size.current
    if (!s || !b || !w || !h) { seen.value = null; return }
    const view = `${b.x} ${b.y} ${b.w} ${b.h}`
    if (s.getAttribute('viewBox') !== view) s.setAttribute('viewBox', view) // all words are set anew with it
    if (whole.current) zoomed.value = Math.round((100 * whole.current.w) / b.w)
    const k = Math.min(w / b.w, h / b.h) || 1
    const isFar = k < far && !paper.current
    leaveWordsOut(isFar)
    // Coming nearer, the words are wanted that were left out.
    if (!isFar && state.value?.wordless && !preview.value && !asked.current) {
      asked.current = true
      void showSheet(look.value).finally(() => { asked.current = false })
    }
    frame.current?.toggleAttribute('data-far', isFar)
    seen.value = { k, x: w / 2 - (b.x + b.w / 2) * k, y: h / 2 - (b.y + b.h / 2) * k, w, far: isFar }
  }
  const show = () => put(svg())
  /** top is what the buttons over the drawing take of it. */
  const top = () => (narrow.value ? 0 : 58)
  /** fit shows the pipes, or the whole sheet with its title and lists. */
  const fit = (all = false) => {
    own.current = paper.current = all
    box.current = whole.current && (all ? { ...whole.current } : around(pipes.current, whole.current, size.current, top()))
    show()
  }
  const zoom = (by: number, at?: { x: number; y: number }) => {
    const s = svg(), b = box.current, wh = whole.current
    if (!s || !b || !wh) return
    own.current = true
    const to = Math.min(wh.w * 1.2, Math.max(wh.w / 40, b.w / by)) / b.w
    const p = at ? toSheet(s, b, at.x, at.y) : { x: b.x + b.w / 2, y: b.y + b.h / 2 }
    box.current = { x: p.x - (p.x - b.x) * to, y: p.y - (p.y - b.y) * to, w: b.w * to, h: b.h * to }
    paper.current ||= box.current.w >= wh.w
    show()
  }
  const pan = (dx: number, dy: number) => {
    const s = svg(), b = box.current
    if (!s || !b) return
    own.current = true
    const k = scale(s, b)
    box.current = { ...b, x: b.x - dx / k, y: b.y - dy / k }
    show()
  }

  /** follow brings what is picked near enough to be read: on a small screen always, on a
   *  large one when it is out of sight. */
  const followed = useRef(false)
  const follow = (name: string) => {
    const b = box.current, { w, h } = size.current
    const spots = (state.value?.holds ?? []).filter((x) => x.name === name).flatMap((x) => x.pieces.flatMap((p) => [p.a, p.b]))
    if (!b || !w || !h || !whole.current) return
    if (!spots.length) {
      if (followed.current && !name) fit()
      followed.current = false
      return
    }
    const xs = spots.map((p) => p[0]), ys = spots.map((p) => p[1])
    const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)]
    const seenAll = x0 >= b.x && x1 <= b.x + b.w && y0 >= b.y && y1 <= b.y + b.h
    const now = Math.min(w / b.w, h / b.h)
    if (seenAll && (now >= readable || !narrow.value)) return
    const k = Math.max(narrow.value ? readable : now, Math.min(now, readable))
    box.current = { x: (x0 + x1) / 2 - w / k / 2, y: (y0 + y1) / 2 - h / k / 2, w: w / k, h: h / k }
    followed.current = own.current = true
    show()
  }
  /** onSheet is what is on the sheet now, element by element. */
  const onSheet = useRef<OnSheet | null>(null)
  // A new drawing: keep the view unless the paper or the sheet changed.
  const sheetName = useRef('')
  useLayoutEffect(() => {
    const host = frame.current
    if (!host) return
    if (!size.current.w) { const r = host.getBoundingClientRect(); size.current = { w: r.width, h: r.height } }
    if (!shown.head) { host.replaceChildren(); onSheet.current = null; seen.value = null; return }
    const head = parse(shown.head + '</svg>')[0] as SVGSVGElement
    head.setAttribute('preserveAspectRatio', 'xMidYMid meet')
    const v = (head.getAttribute('viewBox') ?? '0 0 1 1').split(' ').map(Number)
    const now = { x: v[0], y: v[1], w: v[2], h: v[3] }
    const named = `${state.value?.name} ${state.value?.view} ${state.value?.level}`
    const same = whole.current && Math.abs(whole.current.w - now.w) < 0.5 && Math.abs(whole.current.h - now.h) < 0.5 && named === sheetName.current
    whole.current = now
    sheetName.current = named
    if (!own.current || !same) {
      const to = around(pipes.current, now, size.current, top())
      if (!same || !box.current || !still(box.current, to, pipes.current)) box.current = to
      own.current = paper.current = false
    }
    const old = onSheet.current
    if (old?.head === shown.head) old.nodes = patch(svg()!, old, shown.parts)
    else {
      styled(head)
      const nodes = parse(`<svg xmlns="http://www.w3.org/2000/svg">${shown.parts.join('')}</svg>`)[0]
      const list = nodes ? [...nodes.children] : []
      head.append(...list)
      host.replaceChildren(head)
      onSheet.current = { head: shown.head, parts: shown.parts, nodes: list }
    }
    onSheet.current!.parts = shown.parts
    show()
    if (narrow.value && !own.current && picked.value) follow(picked.value)
  }, [shown])
  useLayoutEffect(() => { follow(picked.value) }, [picked.value, narrow.value, large.value])
  const walked = walkOf.value
  useLayoutEffect(() => { const s = svg(); if (s) mark(s) }, [picked.value, walked, shown, pointed.value])
  useEffect(() => {
    const host = frame.current
    if (!host) return
    const o = new ResizeObserver(([e]) => {
      size.current = { w: e.contentRect.width, h: e.contentRect.height }
      if (own.current) show()
      else fit()
    })
    o.observe(host)
    return () => o.disconnect()
  }, [])

  useEffect(() => {
    const host = frame.current
    if (!host) return
    const at = new Map<number, { x: number; y: number }>()
    let moved = 0
    let start = { x: 0, y: 0 }
    const place = (e: PointerEvent): Point => { const r = host.getBoundingClientRect(); return [e.clientX - r.left, e.clientY - r.top] }
    const down = (e: PointerEvent) => {
      if (e.button !== 0) return
      at.set(e.pointerId, { x: e.clientX, y: e.clientY })
      if (at.size > 1) { pull.value = null; return }
      moved = 0
      start = { x: e.clientX, y: e.clientY }
      const v = seen.value, p = place(e)
      if (!v || preview.value) return
      if (drawing.value) {
        const n = nearest(v, p[0], p[1], 30)
        if (n) {
          pull.value = { kind: 'draw', name: n.hold.name, heading: n.hold.heading, at: n.at, known: n.known, from: n.point, way: null, steps: 0, to: n.point }
          host.setPointerCapture(e.pointerId)
        } else tell('Begin on a pipe: a new one is drawn from where it joins.')
        return
      }
      let best = 24
      for (const h of handles()) {
        const d = dist(sheetAt(v, h.end), p)
        if (d <= best) { best = d; pull.value = { kind: 'length', hold: h, steps: h.steps, to: h.end } }
      }
      const j = joint()
      if (j && dist(sheetAt(v, j.end), p) < best) pull.value = { kind: 'joint', joint: j, at: j.at, by: '', to: j.end }
      if (pull.value) host.setPointerCapture(e.pointerId)
    }
    const move = (e: PointerEvent) => {
      const was = at.get(e.pointerId)
      if (!was) return
      const now = { x: e.clientX, y: e.clientY }
      const g = pull.value, v = seen.value
      if (at.size === 1) {
        moved = Math.max(moved, Math.hypot(now.x - start.x, now.y - start.y))
        if (g && v) {
          const dx = now.x - start.x, dy = now.y - start.y
          if (g.kind === 'length') {
            const steps = moved > 4 ? pulled(g.hold, v, dx, dy) : g.hold.steps
            const by = steps - g.hold.steps
            pull.value = { ...g, steps, to: [g.hold.end[0] + by * g.hold.step[0], g.hold.end[1] + by * g.hold.step[1]] }
          } else if (g.kind === 'joint') {
            if (moved > 4) { const p = place(e), to = joined(g.joint, v, p[0], p[1]); if (to) pull.value = { ...g, ...to } }
          } else {
            const w = wayTo(v, dx, dy)
            pull.value = { ...g, ...w, to: w.way ? [g.from[0] + w.steps * w.way.step[0], g.from[1] + w.steps * w.way.step[1]] : g.from }
          }
        } else if (moved > 8 && !drawing.value) {
          if (!host.hasPointerCapture(e.pointerId)) host.setPointerCapture(e.pointerId)
          pan(now.x - was.x, now.y - was.y)
        }
      } else if (at.size === 2) {
        moved = 99
        const [other] = [...at].filter(([id]) => id !== e.pointerId).map(([, p]) => p)
        const before = Math.hypot(was.x - other.x, was.y - other.y)
        const after = Math.hypot(now.x - other.x, now.y - other.y)
        if (before > 0) zoom(after / before, { x: (now.x + other.x) / 2, y: (now.y + other.y) / 2 })
        pan((now.x - was.x) / 2, (now.y - was.y) / 2)
      }
      at.set(e.pointerId, now)
    }
    const up = (e: PointerEvent) => {
      const had = at.delete(e.pointerId)
      const g = pull.value
      pull.value = null
      if (!had || e.type !== 'pointerup' || at.size > 0) return
      const v = seen.value
      if (g?.kind === 'length' && !(moved <= 4 && v && dist(sheetAt(v, g.hold.end), place(e)) > 12)) {
        // A touch without a move is for the keypad; one beside the end is for what lies there.
        if (moved <= 4) keypad(`${g.hold.name}, ${g.hold.label}`, g.hold.known ? inSteps(g.hold.steps) : '', (l) => void setLength(g.hold, l))
        else if (g.steps !== g.hold.steps || !g.hold.known) void setLength(g.hold, inSteps(g.steps))
        return
      }
      if (g?.kind === 'joint' && !(moved <= 4 && v && dist(sheetAt(v, g.joint.end), place(e)) > 14)) {
        const put = (at: string) => void edit({ op: 'set', path: [g.joint.heading, g.joint.name, 'at'], value: at })
        if (moved <= 4) keypad(`How far along ${g.joint.on}`, inSteps(g.joint.at), put)
        else if (Math.abs(g.at - g.joint.at) > 0.01) put(placeWords(g))
        return
      }
      if (g?.kind === 'draw') {
        drawing.value = false
        drawnFrom(g.name, g.known ? inSteps(Math.max(0, marked(g.at))) : '', g.way?.word ?? '', g.way ? inSteps(g.steps) : '')
        return
      }
      if (moved <= 8) touch(e.clientX, e.clientY)
    }
    const wheel = (e: WheelEvent) => {
      e.preventDefault()
      zoom(Math.exp(-e.deltaY / (e.ctrlKey ? 120 : 480)), { x: e.clientX, y: e.clientY })
    }
    host.addEventListener('pointerdown', down)
    host.addEventListener('pointermove', move)
    host.addEventListener('pointerup', up)
    host.addEventListener('pointercancel', up)
    host.addEventListener('wheel', wheel, { passive: false })
    return () => {
      host.removeEventListener('pointerdown', down)
      host.removeEventListener('pointermove', move)
      host.removeEventListener('pointerup', up)
      host.removeEventListener('pointercancel', up)
      host.removeEventListener('wheel', wheel)
    }
  }, [])

  // A finger is wider than a pipe: look around the place touched, nearest first; a pipe or a
  // number on it comes before the fixture that it runs under.
  const touch = (x: number, y: number) => {
    for (const [reach, thin] of [[5, true], [22, false]] as [number, boolean][]) {
      for (const r of [0, 5, 10, 16, 22]) {
        if (r > reach) break
        for (let i = 0; i < (r ? 12 : 1); i++) {
          const a = (i * Math.PI) / 6
          if (touched(document.elementsFromPoint(x + r * Math.cos(a), y + r * Math.sin(a)), thin)) return
        }
      }
    }
    pick('', false)
  }
  const touched = (at: Element[], thin: boolean): boolean => {
    const host = frame.current
    for (const el of at) {
      if (!host?.contains(el) || el === host || el instanceof SVGSVGElement) continue
      const id = idOf(el)
      const f = findingOf(id)
      if (f >= 0 && f < (state.value?.result.findings.length ?? 0)) {
        pointed.value = f
        panel.value = state.value?.result.findings[f].severity === 'not checked' ? 'questions' : 'findings'
        return true
      }
      if (thin && !el.closest('.drain, .drain-below, .vent')) continue
      const name = nameOf(id)
      if (name) { pick(name); return true }
    }
    return false
  }

  const keys = (e: KeyboardEvent) => {
    const far = e.shiftKey ? 160 : 40
    switch (e.key) {
      case 'ArrowLeft': pan(far, 0); break
      case 'ArrowRight': pan(-far, 0); break
      case 'ArrowUp': pan(0, far); break
      case 'ArrowDown': pan(0, -far); break
      case '+': case '=': zoom(1.25); break
      case '-': zoom(0.8); break
      case '0': fit(!own.current); break
      case 'Escape': if (!pull.value && !drawing.value) return; pull.value = null; drawing.value = false; break
      default: return
    }
    e.preventDefault()
  }

  return (
    <section class="sheet-pane" aria-label="Drawing">
      <div class={'frame' + (preview.value ? ' previewed' : '') + (pulling.value ? ' pulling' : '')}>
        <div class={'drawing' + (drawing.value ? ' pencil' : '')} ref={frame} tabIndex={0} role="application" onKeyDown={keys}
          aria-label="Drawing of the pipes. Arrow keys move it, plus and minus zoom, zero fits it. The list of pipes beside it says the same in words." />
        <Hands />
        {shown.head && stale && <p class="stale" role="status">The file cannot be read as it stands. This is the drawing of the last text that could be.</p>}
        {!shown.head && <p class="blank">{(preview.value ?? state.value)?.says ?? 'Nothing is drawn yet. Add a fixture or a room, and it appears here.'}</p>}
        {!drawing.value && wordless.value && shown.head && <p class="advice low">Zoom in to read the sizes.</p>}
        {drawing.value && !pull.value && <p class="advice" role="status">Draw from the pipe that it joins, the way the new pipe leads off. Its length is read at your finger.</p>}
      </div>
      <div class="sheets" role="group" aria-label="Sheet">
        <Sheets />
      </div>
      <div class="zoom" role="group" aria-label="View">
        {narrow.value && <button aria-pressed={large.value} aria-label="The drawing on the whole screen" onClick={() => { large.value = !large.value }}><Icon name={large.value ? 'down' : 'large'} /></button>}
        <button onClick={() => zoom(1.4)} aria-label="Zoom in"><Icon name="plus" /></button>
        <button onClick={() => zoom(1 / 1.4)} aria-label="Zoom out"><Icon name="minus" /></button>
        <button onClick={() => fit(!own.current)} aria-label={`Fit the pipes, or the whole sheet; now ${zoomed.value} percent`}><Icon name="fit" /></button>
      </div>
    </section>
  )
}

/** Sheets chooses the riser or a plan, and takes the pencil up. */
function Sheets() {
  const s = state.value
  if (!s) return null
  const value = s.view === 'plan' ? 'plan ' + (s.level ?? '') : 'riser'
  return (
    <>
      <select aria-label="Sheet to work on" value={value} onChange={(e) => {
        const v = e.currentTarget.value
        void showSheet(v === 'riser' ? { view: 'riser', level: '' } : { view: 'plan', level: v.slice(5) })
      }}>
        <option value="riser">Riser</option>
        {s.plans.map((l) => <option key={l} value={'plan ' + l}>{l === '' ? 'Plan' : l === 'below' ? 'Plan below the floor' : `Plan of ${l}`}</option>)}
      </select>
      <button aria-label="Draw a pipe" aria-pressed={drawing.value} disabled={s.holds.length === 0 || !!preview.value} onClick={() => { drawing.value = !drawing.value }}><Icon name="pencil" /><span class="wide">Draw a pipe</span></button>
    </>
  )
}

/** handles are the legs of what is picked. */
const handles = () => (picked.value && !preview.value && !drawing.value ? (state.value?.holds ?? []).filter((h) => h.name === picked.value && (h.step[0] !== 0 || h.step[1] !== 0)) : [])

/** Hands are drawn over the sheet: ends to take hold of, and what is being pulled. */
function Hands() {
  const v = seen.value, g = pull.value
  if (!v) return null
  const at = (p: Point) => sheetAt(v, p)
  if (g) {
    const from = at(g.kind === 'length' ? g.hold.fixed : g.kind === 'joint' ? g.joint.end : g.from), to = at(g.to)
    const words = g.kind === 'length' ? inSteps(g.steps) : g.kind === 'joint' ? placeWords(g) : g.way ? `${wayWords[g.way.word] ?? g.way.word} ${inSteps(g.steps)}` : ''
    const was = g.kind === 'length' ? (g.hold.known ? 'was ' + inSteps(g.hold.steps) : 'not given yet') : g.kind === 'joint' ? (g.by.startsWith('with ') ? g.by : `along ${g.joint.on}, was ${inSteps(g.joint.at)}`) : g.known ? `on ${g.name}, ${inSteps(marked(g.at))} along` : `on ${g.name}`
    // Above the finger, and within the frame.
    const w = 190, x = Math.max(6, Math.min(to[0] - w / 2, v.w - w - 6)), y = to[1] > 96 ? to[1] - 92 : to[1] + 40
    return (
      <svg class="hands" aria-hidden="true">
        <line class="pull" x1={from[0]} y1={from[1]} x2={to[0]} y2={to[1]} />
        <circle class="grip" cx={to[0]} cy={to[1]} r="9" />
        {(words || was) && <g class="readout"><rect x={x} y={y} width={w} height="56" rx="3" /><text class="much" x={x + w / 2} y={y + 26}>{words || 'which way?'}</text><text x={x + w / 2} y={y + 46}>{was}</text></g>}
      </svg>
    )
  }
  const j = joint(), [jx, jy] = j ? at(j.end) : [0, 0]
  return (
    <svg class="hands" aria-hidden="true">
      {j && <rect class="joint" data-joint={j.name} x={jx - 8} y={jy - 8} width="16" height="16" transform={`rotate(45 ${jx} ${jy})`} />}
      {handles().map((h) => {
        const [x, y] = at(h.end)
        return <circle key={h.part} class="grip" data-hold={`${h.name} ${h.part}`} cx={x} cy={y} r="9" />
      })}
    </svg>
  )
}

/** around is the part of the sheet to show of where the pipes are. */
function around(p: [number, number, number, number] | undefined, all: Box, frame: { w: number; h: number }, top: number): Box {
  if (!p || !(p[2] > 0) || !(p[3] > 0)) return { ...all }
  const m = 0.02 * Math.max(p[2], p[3]) + 4
  // A short pipe alone is not blown up to fill the room.
  const w = Math.max(p[2] + 2 * m, 140), h = Math.max(p[3] + 2 * m, 90)
  const x = p[0] + p[2] / 2, y = p[1] + p[3] / 2
  if (frame.h <= 2 * top || !frame.w) return { x: x - w / 2, y: y - h / 2, w, h }
  // The box has the shape of the frame, so that nothing lies under its buttons.
  const k = Math.min(frame.w / w, (frame.h - top) / h)
  return { x: x - frame.w / k / 2, y: y - (frame.h + top) / k / 2, w: frame.w / k, h: frame.h / k }
}

/** still tells whether what is looked at may stay where a little has moved in it: the pipes are
 *  within, and would not be much larger otherwise. */
function still(now: Box, to: Box, p: [number, number, number, number] | undefined): boolean {
  return !!p && p[0] >= now.x && p[1] >= now.y && p[0] + p[2] <= now.x + now.w && p[1] + p[3] <= now.y + now.h &&
    Math.abs(to.w / now.w - 1) < 0.05 && Math.abs(to.x - now.x) < 0.03 * now.w && Math.abs(to.y - now.y) < 0.03 * now.h
}

/** styled puts the style of a drawing where it stays: one that came and went with it would
 *  make the browser look at the whole page again. */
let style: HTMLStyleElement | null = null
function styled(s: SVGSVGElement) {
  const own = s.querySelector('style')
  if (!own) return
  if (!style) {
    style = document.createElement('style')
    document.head.prepend(style) // the page's own come after it
  }
  if (style.textContent !== own.textContent) style.textContent = own.textContent
  own.remove()
}

interface OnSheet { head: string; parts: string[]; nodes: Element[] }
const none: Picture = { head: '', key: '', parts: [] }

function parse(text: string): Element[] {
  const t = document.createElement('template')
  t.innerHTML = text
  return [...t.content.children]
}

/** places are the attributes that say where something is drawn; steps are they and the
 *  beginnings of elements. */
const places = / (points|d|x|y|x1|y1|x2|y2|cx|cy|transform)="([^"]*)"/g
const steps = new RegExp('<[a-z]|' + places.source, 'g')

/** move puts an element where a part of the drawing says, which differs in its places only from
 *  the part that it was. */
function move(e: Element, was: string, now: string) {
  const all = [e, ...e.querySelectorAll('*')], before = was.matchAll(steps)
  let at = -1
  for (const m of now.matchAll(steps)) {
    const o = before.next().value!
    if (!m[1]) at++
    else if (m[2] !== o[2]) all[at].setAttribute(m[1], m[2])
  }
}

/** patch makes an old drawing the new one, and touches only what differs: what has only moved
 *  stays the element that it is. */
function patch(s: SVGSVGElement, old: OnSheet, parts: string[]): Element[] {
  const list = (key: (p: string) => string, of: number[]) => {
    const all = new Map<string, number[]>()
    for (const i of of) { const k = key(old.parts[i]), have = all.get(k); if (have) have.push(i); else all.set(k, [i]) }
    return all
  }
  const same = list((p) => p, old.parts.map((_, i) => i))
  const nodes: (Element | null)[] = parts.map((p) => { const i = same.get(p)?.shift(); return i === undefined ? null : old.nodes[i] })
  const bare = (p: string) => p.replace(places, ' $1=""')
  const alike = list(bare, [...same.values()].flat())
  parts.forEach((p, k) => {
    const i = nodes[k] ? undefined : alike.get(bare(p))?.shift()
    if (i !== undefined) move(nodes[k] = old.nodes[i], old.parts[i], p)
  })
  for (const i of [...alike.values()].flat()) old.nodes[i].remove()
  const fresh = parts.filter((_, i) => !nodes[i])
  const made = fresh.length ? [...parse(`<svg xmlns="http://www.w3.org/2000/svg">${fresh.join('')}</svg>`)[0].children] : []
  let next = 0
  const all = nodes.map((e) => e ?? made[next++])
  let at: Element | null = old.nodes.find((e) => e.parentNode === s) ?? null
  for (const e of all) {
    if (e === at) at = at.nextElementSibling
    else s.insertBefore(e, at)
  }
  return all
}

function scale(s: SVGSVGElement, b: Box): number {
  const r = s.getBoundingClientRect()
  return Math.min(r.width / b.w, r.height / b.h) || 1
}

function toSheet(s: SVGSVGElement, b: Box, x: number, y: number) {
  const r = s.getBoundingClientRect()
  const k = scale(s, b)
  return { x: b.x + b.w / 2 + (x - r.left - r.width / 2) / k, y: b.y + b.h / 2 + (y - r.top - r.height / 2) / k }
}

/** mark shows on the drawing what is picked and where the water goes. */
function mark(s: SVGSVGElement) {
  for (const e of s.querySelectorAll('.picked, .wet')) e.classList.remove('picked', 'wet')
  const wet = new Set<string>()
  if (walkOf.value !== null) for (const n of way(walkOf.value)) wet.add(n)
  if (!picked.value && wet.size === 0 && pointed.value < 0) return
  const wanted = [...wet, ...(picked.value ? [picked.value] : [])]
  for (const e of s.querySelectorAll('[id]')) {
    const id = e.getAttribute('data-id') ?? e.id
    if (pointed.value >= 0 && findingOf(id) === pointed.value) e.classList.add('picked')
    const name = wanted.some((n) => id.startsWith(n)) ? nameOf(id) : ''
    if (!name) continue
    if (name === picked.value) e.classList.add('picked')
    else if (wet.has(name)) e.classList.add('wet')
  }
}

/** way lists the runs from one to the outlet, as the result says what joins what. */
function way(from: string): string[] {
  const joins = new Map(state.value?.result.runs.map((r) => [r.name, r.joins]))
  const out: string[] = []
  for (let n: string | undefined = from; n && joins.has(n) && !out.includes(n); n = joins.get(n)) out.push(n)
  return out
}
