package fitting

import (
	"trapweir/engine/catalog"
	"trapweir/engine/codebook"
	"trapweir/engine/elevation"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// Pick names all fittings of a job: first those of the drains by segment, with the flow;
// then those of the vents; then the cleanouts. levels may be nil.
func Pick(n *network.Net, z *size.Sizes, levels *elevation.Levels, v *vent.Vents, b *codebook.Book) []Fitting {
	p := &picker{net: n, sizes: z, levels: levels, vents: v, book: b}
	for i := range n.Segs {
		p.node(network.SegID(i))
	}
	for i := range n.Runs {
		p.bends(network.RunID(i))
	}
	p.indexTurns()
	for i := range n.Vents {
		p.vent(network.VentID(i))
	}
	for i := range n.Runs {
		p.cleanouts(network.RunID(i))
	}
	return p.out
}

type picker struct {
	net    *network.Net
	sizes  *size.Sizes
	levels *elevation.Levels
	vents  *vent.Vents
	book   *codebook.Book
	out    []Fitting
	turned []int                 // turns of each run that are drawn, to deal out its `turn` words
	drops  map[network.SegID]int // by the upright piece: the turn in out where level pipe goes down into it
}

func (p *picker) put(f Fitting) {
	if f.Count == 0 {
		f.Count = 1
	}
	p.out = append(p.out, f)
}

func (p *picker) at(s network.SegID, lower bool) Place {
	seg := &p.net.Segs[s]
	pl := Place{Run: seg.Run, Vent: network.None, Seg: s, Lower: lower, Station: seg.From, Known: seg.LengthKnown}
	if lower {
		pl.Station = seg.To
	}
	return pl
}

// node names what stands at the upper end of segment d.
func (p *picker) node(d network.SegID) {
	n := p.net
	seg := &n.Segs[d]
	if seg.Fixture != network.None {
		p.fixture(d)
	}
	up := n.Up(d)
	if len(up) == 0 {
		return
	}
	th := p.through(d)
	if th != network.None {
		p.goesOn(th, d, len(up) > 1)
	}
	p.joins(d, th)
}

// goesOn names the turn or the reducer of the pipe that goes through. Where something
// joins as well, the fitting of the join reduces.
func (p *picker) goesOn(u, d network.SegID, joined bool) {
	n, z := p.net, p.sizes
	a, b := &n.Segs[u], &n.Segs[d]
	angle, ok := Angle(a.Way, b.Way)
	f := Fitting{
		Does: Turn, At: p.at(d, false), Change: ChangeOf(n, u, d), In: z.Size[u], Out: z.Size[d], Through: u, Into: d, Turn: angle,
		Hand: goes(a.Way, b.Way), Plan: a.Lie == network.Level && b.Lie == network.Level,
	}
	switch {
	case a.Run != b.Run && n.Runs[a.Run].Def.Fitting.Text != "" && !joined:
		// Stated at the lower end of a run that goes on in another one.
		p.pin(&f, n.Runs[a.Run].Def.Fitting)
		if !ok {
			f.Turn = -1
		}
		f.Why = "stated for " + n.Runs[a.Run].Name
		p.put(f)
		return
	case !ok:
		if a.Run == b.Run {
			return // one leg cut in two
		}
		f.Turn, f.Open = -1, true
		if f.Change != NoChange {
			f.Kind = p.turn(f.Change, 900, f.In)
			f.Why = "the direction is not known; a quarter turn is taken"
			if f.Change != LevelToLevel {
				p.put(f)
			}
		}
	case angle == 0:
		if z.Size[u] != z.Size[d] && !joined {
			f.Does, f.Kind, f.Why = Reduce, "increaser", "the pipe grows from "+z.Size[u].String()+" to "+z.Size[d].String()
			p.put(f)
		}
		return
	default:
		if joined && a.Run != b.Run && n.Runs[a.Run].Def.Fitting.Text != "" {
			p.pin(&f, n.Runs[a.Run].Def.Fitting)
			f.Why = "stated for " + n.Runs[a.Run].Name
			p.put(f)
			return
		}
		run := &n.Runs[a.Run]
		// The words of a run are for its own turns; one that has none means the turn at
		// its lower end.
		if a.Run == b.Run || p.straight(run) {
			if w, ok := p.turnWord(run); ok {
				p.pin(&f, w)
				f.Why = "stated for " + run.Name
				p.put(f)
				return
			}
		}
		if run.Fixture != network.None && isCloset(n.Fixtures[run.Fixture].Kind) && f.Change == UprightToLevel && u == run.Segs[0] {
			f.Kind, f.Why = "closet bend", "under a water closet"
		} else {
			f.Kind = p.turn(f.Change, angle, f.In)
			if f.Kind == "eighth bend" && angle == 900 {
				f.Count = 2
			}
			f.Why = "turns " + degrees(angle) + " " + words(f.Change)
		}
		p.put(f)
	}
}

// straight: no turn of the run is drawn or counted.
func (p *picker) straight(r *network.Run) bool {
	for i := 1; i < len(r.Segs); i++ {
		if a, ok := Angle(p.net.Segs[r.Segs[i-1]].Way, p.net.Segs[r.Segs[i]].Way); ok && a > 0 {
			return false
		}
	}
	return r.Def.Bends.V == 0
}

// turnWord deals out the `turn` words of a run to its turns, in order; a single word
// stands for all of them.
func (p *picker) turnWord(r *network.Run) (job.Word, bool) {
	ts := r.Def.Turns
	if len(ts) == 0 {
		return job.Word{}, false
	}
	if p.turned == nil {
		p.turned = make([]int, len(p.net.Runs))
	}
	id := p.net.Segs[r.Segs[0]].Run
	k := p.turned[id]
	p.turned[id]++
	if len(ts) == 1 {
		return ts[0], true
	}
	if k < len(ts) {
		return ts[k], true
	}
	return job.Word{}, false
}

// bends names the turns in plan that a run only counts (`bends: 90`) and its legs do not
// show. Where on the run they are is not known.
func (p *picker) bends(r network.RunID) {
	run := &p.net.Runs[r]
	left := run.Def.Bends.V * 10
	if left <= 0 || len(run.Segs) == 0 {
		return
	}
	s := run.Segs[0]
	for left > 0 {
		f := Fitting{Does: Turn, Change: LevelToLevel, At: p.at(s, false), In: p.sizes.Size[s], Out: p.sizes.Size[s], Through: s, Into: s, Plan: true, Turn: min(left, 900)}
		f.At.Known = false
		left -= f.Turn
		if w, ok := p.turnWord(run); ok {
			p.pin(&f, w)
			f.Why = "stated for " + run.Name
		} else {
			f.Kind = p.turn(f.Change, f.Turn, f.In)
			f.Why = run.Name + " counts its turns"
		}
		p.put(f)
	}
}

// Stated turns the job's words for bends into the rows of the books' fitting tables; other
// words stay. count is how many of them make the turn.
func Stated(word string) (kind string, count int) {
	switch word {
	case "short 90", "side inlet 90", "heel inlet 90":
		return "quarter bend", 1
	case "long sweep 90":
		return "long sweep", 1
	case "two 45s":
		return "eighth bend", 2
	case "45":
		return "eighth bend", 1
	case "60":
		return "sixth bend", 1
	case "22.5":
		return "sixteenth bend", 1
	case "vent 90":
		return "vent elbow", 1
	}
	return word, 1
}

func (p *picker) pin(f *Fitting, w job.Word) {
	f.Kind, f.Count = Stated(w.Text)
	f.Pinned, f.Word = true, w
}

// turn picks a bend: by its angle, and for a quarter turn the shortest pattern that the
// book permits without conditions.
func (p *picker) turn(c Change, angle int, _ unit.Size) string {
	switch {
	case angle <= 0:
		return ""
	case angle <= 300:
		return "sixteenth bend"
	case angle <= 525:
		return "eighth bend"
	case angle <= 750:
		return "sixth bend"
	}
	if c == LevelToUpright && Permits(p.book, "quarter bend", c) == Yes {
		return "quarter bend"
	}
	if Permits(p.book, "long sweep", c) != No {
		return "long sweep"
	}
	return "eighth bend"
}

// Answer is what a book's fitting table says.
type Answer uint8

const (
	Silent      Answer = iota // no table, or no row for it
	Yes                       // permitted
	Conditional               // permitted under the notes of the cell
	No                        // printed as a dash
)

// Permits reads the book's table of fittings by change of direction.
func Permits(b *codebook.Book, kind string, c Change) Answer {
	t, ok := b.Table("fittings-direction")
	if !ok || c == NoChange {
		return Silent
	}
	col := -1
	for i, h := range t.Columns {
		if h == c.String() {
			col = i
		}
	}
	for i := range t.Rows {
		if t.Rows[i].Key != kind || col < 0 || col >= len(t.Rows[i].Cells) {
			continue
		}
		switch cell := &t.Rows[i].Cells[col]; {
		case cell.State == codebook.Dash:
			return No
		case cell.State != codebook.Given && cell.State != codebook.NoLimit:
			return Silent
		case cell.Notes != "":
			return Conditional
		}
		return Yes
	}
	return Silent
}

// joins names the fittings of what comes in at the side at the upper end of d.
func (p *picker) joins(d, th network.SegID) {
	n, z := p.net, p.sizes
	var sides []network.SegID
	for _, u := range n.Up(d) {
		if u != th {
			sides = append(sides, u)
		}
	}
	sides = p.intoBend(d, sides)
	if len(sides) == 0 {
		return
	}
	base := Fitting{Does: Join, At: p.at(d, false), Through: th, Into: d, Out: z.Size[d]}
	base.In = z.Size[d]
	if th != network.None {
		base.In = z.Size[th]
	}
	for i := 0; i < len(sides); i++ {
		u := sides[i]
		f := base
		f.From, f.Branch = []network.SegID{u}, []unit.Size{p.arriving(u)}
		f.Change = ChangeOf(n, u, d)
		a, b := &n.Segs[u], &n.Segs[d]
		angle, ok := Angle(a.Way, b.Way)
		f.Turn, f.Hand, f.Open = angle, side(a.Way, b.Way), !ok
		f.Plan = a.Lie == network.Level && b.Lie == network.Level
		if !ok {
			f.Turn = -1
		}
		w := n.Runs[a.Run].Def.Fitting
		if i+1 < len(sides) && p.pair(u, sides[i+1], d) {
			f.From = append(f.From, sides[i+1])
			f.Branch = append(f.Branch, p.arriving(sides[i+1]))
			f.Hand = NoHand
			i++
			if w.Text == "" {
				w = n.Runs[n.Segs[sides[i]].Run].Def.Fitting
			}
			if w.Text == "" {
				f.Kind = "double fixture fitting"
				f.Why = n.Runs[a.Run].Name + " and " + n.Runs[n.Segs[sides[i]].Run].Name + " come in at one height from two sides"
				p.put(f)
				continue
			}
		}
		if w.Text != "" {
			p.pin(&f, w)
			f.Why = "stated for " + n.Runs[a.Run].Name
			p.put(f)
			continue
		}
		p.branch(&f, a)
		p.put(f)
	}
}

// intoBend lets a pipe come in through the bend of the line itself, where the job states one
// there with an inlet at its heel or its side, and gives what is left to join otherwise.
func (p *picker) intoBend(d network.SegID, sides []network.SegID) []network.SegID {
	if len(p.out) == 0 || len(sides) == 0 {
		return sides
	}
	f := &p.out[len(p.out)-1]
	if f.Does != Turn || f.Into != d || f.Through == network.None || !inletBend(f.Word.Text) {
		return sides
	}
	for i, u := range sides {
		if p.net.RunOf(u).Def.Fitting.Text == "" {
			f.From, f.Branch = []network.SegID{u}, []unit.Size{p.arriving(u)}
			return append(sides[:i:i], sides[i+1:]...)
		}
	}
	return sides
}

// inletBend: a quarter bend with a third opening.
func inletBend(word string) bool { return word == "heel inlet 90" || word == "side inlet 90" }

// arriving is the size with which a run comes in: after its closet bend.
func (p *picker) arriving(u network.SegID) unit.Size { return p.sizes.Size[u] }

// pair: two level pipes that come in at one point through a double fitting that both state;
// or into an upright from opposite sides (arms also from sides that are not told), of one
// size, with no fitting stated.
func (p *picker) pair(a, b, d network.SegID) bool {
	n := p.net
	x, y := &n.Segs[a], &n.Segs[b]
	if x.Lie != network.Level || y.Lie != network.Level {
		return false
	}
	wx, wy := n.Runs[x.Run].Def.Fitting.Text, n.Runs[y.Run].Def.Fitting.Text
	if isDouble(wx) || isDouble(wy) {
		return wx == wy
	}
	if n.Segs[d].Lie != network.Upright {
		return false
	}
	if wx != "" || wy != "" {
		return false
	}
	if n.Runs[x.Run].Unsaid || n.Runs[y.Run].Unsaid {
		return false
	}
	if p.sizes.Size[a] != p.sizes.Size[b] {
		return false
	}
	// Two tees cannot stand at one height; branches whose sides are not told may be meant to
	// come in one over the other.
	if angle, ok := Angle(x.Way, y.Way); ok {
		return angle >= 1350
	}
	return n.Runs[x.Run].Fixture != network.None && n.Runs[y.Run].Fixture != network.None
}

func isDouble(word string) bool {
	switch word {
	case "double sanitary tee", "double fixture fitting", "double wye", "double combo":
		return true
	}
	return false
}

// branch picks the pattern of a branch that the job does not state.
func (p *picker) branch(f *Fitting, a *network.Seg) {
	name := p.net.Runs[a.Run].Name
	switch {
	case a.Role == network.PumpDischarge:
		f.Kind, f.Why = "wye", name+" is pushed in by a pump"
	case f.Change == LevelToUpright:
		f.Kind, f.Why = "sanitary tee", name+" comes level into an upright"
		if Permits(p.book, f.Kind, f.Change) == No {
			f.Kind = "combo"
		}
	case f.Change == UprightToLevel:
		f.Kind, f.Why = "combo", name+" drops into level pipe"
	case f.Change == LevelToLevel && f.Turn >= 0 && f.Turn <= 450:
		f.Kind, f.Why = "wye", name+" comes in at "+degrees(f.Turn)
	case f.Change == LevelToLevel:
		f.Kind, f.Why = "combo", name+" comes in square; a wye with an eighth bend does as well"
		if f.Open {
			f.Why = name + " comes in from a side that is not told; a quarter turn is taken"
		}
	case f.Turn >= 0:
		f.Kind, f.Why = "wye", name+" comes down beside it"
	default:
		f.Kind, f.Open, f.Why = "wye", true, "how "+name+" lies is not known"
	}
}

func isCloset(k *catalog.Kind) bool { return k != nil && k.Has("water closet") }

// fixture names the trap, or the flange and bend of a water closet.
func (p *picker) fixture(d network.SegID) {
	n, z := p.net, p.sizes
	x := &n.Fixtures[n.Segs[d].Fixture]
	run := &n.Runs[x.Run]
	f := Fitting{At: p.at(d, false), In: z.Size[d], Out: z.Size[d], Through: network.None, Into: d, Turn: 900, Change: UprightToLevel}
	switch {
	case isCloset(x.Kind):
		f.Does, f.Kind, f.Why = Closet, "closet flange and bend", "under a water closet"
		if b := run.Def.Bend; b.Text != "" {
			f.Pinned, f.Word = true, b
			if in, out, ok := Bend(b.Text); ok {
				f.In, f.Out = in, out
			}
		}
		if n.Segs[d].Lie == network.Upright {
			f.Kind, f.Turn, f.Change = "closet flange", 0, NoChange
		}
	case x.Kind.Integral || x.Def.TrapType.Text == "none" || x.Def.TrapType.Text == "integral":
		return
	default:
		f.Does, f.Kind, f.Why = Trap, "p-trap", "below the "+x.Kind.Name
		if t := x.Def.TrapType.Text; t != "" {
			f.Kind, f.Pinned, f.Word = t+"-trap", true, x.Def.TrapType
		}
		if t := x.Def.Trap.V; t > 0 {
			f.In = t
		}
		f.Change = NoChange
	}
	p.put(f)
}

// Bend reads the sizes of a closet bend or flange: 4x3.
func Bend(s string) (in, out unit.Size, ok bool) {
	for i := range len(s) {
		if s[i] == 'x' {
			a, err := unit.ParseSize(s[:i])
			b, err2 := unit.ParseSize(s[i+1:])
			return a, b, err == nil && err2 == nil
		}
	}
	return 0, 0, false
}

func degrees(tenths int) string {
	s := itoa(tenths / 10)
	if tenths%10 != 0 {
		s += "." + itoa(tenths%10)
	}
	return s + " degrees"
}

func itoa(n int) string {
	if n < 10 {
		return string(rune('0' + n))
	}
	return itoa(n/10) + string(rune('0'+n%10))
}

func words(c Change) string {
	return [...]string{"", "from level to upright", "from upright to level", "in the flat"}[c]
}
