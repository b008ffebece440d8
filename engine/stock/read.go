package stock

import (
	"cmp"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/diag"
	"trapweir/engine/source"
	"trapweir/engine/unit"
	"trapweir/engine/yamlread"
)

// File is one file to read.
type File struct {
	Name string
	Text []byte
}

const rule = "stock-file"

var (
	topKeys   = []string{"pipes", "cement", "shop", "patterns", "bodies", "sets"}
	pipeKeys  = []string{"say", "standard", "joint", "primer", "gap", "lengths", "basis", "confidence", "dims"}
	valueKeys = []string{"value", "values", "basis", "confidence"}
	setKeys   = []string{"for", "pattern standard", "sockets", "bends", "branches"}
	gridKeys  = []string{"basis", "confidence", "grid"}
	patKeys   = []string{"say", "group", "ends"}
	bodyKeys  = []string{"say", "note"}
	shopKeys  = []string{"kerf", "primer share", "cement spare", "trench width", "trench bed", "trench over", "hole over pipe", "reuse from"}
)

// Read reads the files in order. What a later file says of a pipe, a fitting or a habit of
// the shop replaces what an earlier one says of the same, value by value.
func Read(files []File) (*Stock, []diag.Diagnostic) {
	s := &Stock{pipes: map[string]*Pipe{}, patterns: map[string]Pattern{}, bodies: map[string]Body{}, sets: map[string]*set{}, joints: map[unit.Size]Joints{}}
	s.Shop.Basis = map[string]string{}
	var out []diag.Diagnostic
	for _, f := range files {
		top, ds := yamlread.Parse(f.Name, f.Text, yamlread.Limits{Rule: rule})
		out = append(out, ds...)
		if top == nil {
			continue
		}
		r := &reader{Reader: yamlread.New(f.Name, f.Text, rule), s: s}
		for key, v := range r.Fields(top, "the file", topKeys) {
			switch key {
			case "pipes":
				for k, v := range r.Entries(v, key) {
					r.pipe(k.Value, v)
				}
			case "cement":
				r.cement(v)
			case "shop":
				r.shop(v)
			case "patterns":
				for k, v := range r.Entries(v, key) {
					r.pattern(k.Value, v)
				}
			case "bodies":
				for k, v := range r.Entries(v, key) {
					r.body(k.Value, v)
				}
			case "sets":
				for k, v := range r.Entries(v, key) {
					r.set(k.Value, v)
				}
			}
		}
		out = append(out, r.Diags...)
	}
	return s, out
}

type reader struct {
	*yamlread.Reader
	s *Stock
}

func (r *reader) pipe(name string, n *yaml.Node) {
	p := r.s.pipes[name]
	if p == nil {
		p = &Pipe{Material: name, Say: name}
		r.s.pipes[name] = p
	}
	var dims *yaml.Node
	var basis string
	sure := Low
	for key, v := range r.Fields(n, "the pipe "+name, pipeKeys) {
		switch key {
		case "say":
			p.Say, _, _ = r.Text(v)
		case "standard":
			p.Standard, _, _ = r.Text(v)
		case "joint":
			if w, at, ok := r.Text(v); ok {
				i := slices.Index(jointWords[:], w)
				if i < 0 {
					r.Add(at, "joint "+yamlread.Short(w)+" is not known", "write one of "+strings.Join(jointWords[:], ", "))
					continue
				}
				p.Joint = Joint(i)
			}
		case "primer":
			p.Primer = r.yes(v)
		case "gap":
			p.Gap = r.dim(v, "gap")
		case "lengths":
			p.Lengths, p.LengthsBasis, p.LengthsSure = r.lengths(v)
		case "basis":
			basis, _, _ = r.Text(v)
		case "confidence":
			sure = r.confidence(v)
		case "dims":
			dims = v
		}
	}
	if dims == nil {
		return
	}
	if basis == "" {
		r.Addf(r.Span(n), "the pipe %s does not say where its diameters come from: write basis", name)
	}
	for _, row := range r.grid(dims, []string{"size", "od", "id"}, "the diameters of "+name) {
		z := row.size(0)
		if z == 0 {
			continue
		}
		x := PipeSize{z, row.dim(1, basis, sure), row.dim(2, basis, sure)}
		if i := slices.IndexFunc(p.Sizes, func(q PipeSize) bool { return q.Size == z }); i >= 0 {
			p.Sizes[i] = x
		} else {
			p.Sizes = append(p.Sizes, x)
		}
	}
	slices.SortFunc(p.Sizes, func(a, b PipeSize) int { return cmp.Compare(a.Size, b.Size) })
}

func (r *reader) cement(n *yaml.Node) {
	basis, sure, grid := r.sourced(n, "cement")
	for _, row := range r.grid(grid, []string{"size", "joints"}, "cement") {
		z := row.size(0)
		text, low := strings.CutSuffix(row.cells[1], "?")
		k := int64(0)
		for _, c := range text {
			if c < '0' || c > '9' || k > 100000 {
				k = 0
				break
			}
			k = k*10 + int64(c-'0')
		}
		if k == 0 {
			r.Add(row.at(1), "joints per quart is "+yamlread.Short(row.cells[1])+"; a whole number over 0 is expected", "write the joints that a quart makes: 60")
			continue
		}
		j := Joints{k, sure, basis}
		if low {
			j.Confidence = Low
		}
		if z > 0 {
			r.s.joints[z] = j
		}
	}
}

func (r *reader) shop(n *yaml.Node) {
	s := &r.s.Shop
	for key, v := range r.Fields(n, "the shop's habits", shopKeys) {
		text, basis, at := "", "", source.Span{}
		for k, v := range r.Fields(v, key, valueKeys) {
			switch k {
			case "value":
				text, at, _ = r.Text(v)
			case "basis":
				basis, _, _ = r.Text(v)
			}
		}
		if text == "" {
			r.Addf(r.Span(v), "%s has no value", key)
			continue
		}
		s.Basis[key] = basis
		switch key {
		case "primer share", "cement spare":
			x, ok := share(text)
			if !ok {
				r.Add(at, key+" is "+yamlread.Short(text)+"; a fraction is expected", "write a fraction: 1/2")
				continue
			}
			if key == "primer share" {
				s.PrimerShare = x
			} else {
				s.CementSpare = x
			}
			continue
		}
		l, err := unit.ParseLength(text)
		if err == nil && l < 0 {
			r.Add(at, key+" is negative: "+yamlread.Short(text), "write a length of 0 in or more")
			continue
		}
		if err != nil {
			r.Add(at, key+": "+err.Error(), "")
			continue
		}
		switch key {
		case "kerf":
			s.Kerf = l
		case "trench width":
			s.TrenchWidth = l
		case "trench bed":
			s.TrenchBed = l
		case "trench over":
			s.TrenchOver = l
		case "hole over pipe":
			s.HoleOver = l
		case "reuse from":
			s.ReuseFrom = l
		}
	}
}

// share reads a fraction of small whole numbers: 1/2.
func share(s string) (unit.Slope, bool) {
	a, b, ok := strings.Cut(s, "/")
	var v [2]int64
	for i, t := range []string{a, b} {
		if t == "" || len(t) > 4 {
			return unit.Slope{}, false
		}
		for _, c := range t {
			if c < '0' || c > '9' {
				return unit.Slope{}, false
			}
			v[i] = v[i]*10 + int64(c-'0')
		}
	}
	return unit.Slope{Fall: v[0], Run: v[1]}, ok && v[1] > 0
}

func (r *reader) pattern(kind string, n *yaml.Node) {
	p := Pattern{Kind: kind, Say: kind, Group: "other", Ends: 2}
	for key, v := range r.Fields(n, "the pattern "+kind, patKeys) {
		w, at, ok := r.Text(v)
		switch {
		case !ok:
		case key == "say":
			p.Say = w
		case key == "group":
			p.Group = w
		default:
			if len(w) != 1 || w[0] < '0' || w[0] > '6' {
				r.Add(at, "ends is "+yamlread.Short(w)+"; 0 to 6 is expected", "write how many joints the fitting makes")
				continue
			}
			p.Ends = int(w[0] - '0')
		}
	}
	r.s.patterns[kind] = p
}

func (r *reader) body(kind string, n *yaml.Node) {
	b := Body{Say: kind}
	for key, v := range r.Fields(n, "the body for "+kind, bodyKeys) {
		w, _, ok := r.Text(v)
		switch {
		case !ok:
		case key == "say":
			b.Say = w
		case key == "note":
			b.Note = w
		}
	}
	r.s.bodies[kind] = b
}

func (r *reader) set(name string, n *yaml.Node) {
	var materials []string
	st := &set{sockets: map[unit.Size]Dim{}, bends: map[bendKey]Dim{}, branches: map[branchKey][3]Dim{}}
	for key, v := range r.Fields(n, "the set "+name, setKeys) {
		switch key {
		case "for":
			materials = r.Texts(v, "for")
		case "pattern standard":
			st.standard, _, _ = r.Text(v)
		case "sockets":
			basis, sure, grid := r.sourced(v, "sockets")
			for _, row := range r.grid(grid, []string{"size", "depth", "confidence"}, "sockets") {
				if z := row.size(0); z > 0 {
					st.sockets[z] = row.dim(1, basis, row.confidence(2, sure))
				}
			}
		case "bends":
			for k, v := range r.Entries(v, key) {
				basis, sure, grid := r.sourced(v, k.Value)
				for _, row := range r.grid(grid, []string{"size", "end", "confidence"}, k.Value) {
					if z := row.size(0); z > 0 {
						st.bends[bendKey{k.Value, z}] = row.dim(1, basis, row.confidence(2, sure))
					}
				}
			}
		case "branches":
			for k, v := range r.Entries(v, key) {
				basis, sure, grid := r.sourced(v, k.Value)
				for _, row := range r.grid(grid, []string{"run", "branch", "upper", "lower", "side", "confidence"}, k.Value) {
					a, b, c := row.size(0), row.size(1), row.confidence(5, sure)
					if a > 0 && b > 0 {
						st.branches[branchKey{k.Value, a, b}] = [3]Dim{Upper: row.dim(2, basis, c), Lower: row.dim(3, basis, c), Side: row.dim(4, basis, c)}
					}
				}
			}
		}
	}
	if len(materials) == 0 {
		r.Add(r.Span(n), "the set "+yamlread.Short(name)+" does not say for which materials it is", "write for: [pvc]")
	}
	for _, m := range materials {
		r.s.lay(m, st)
	}
}

// lay puts the values of a set over those that a material has. A cell that says nothing
// leaves what stands under it.
func (s *Stock) lay(material string, st *set) {
	have := s.sets[material]
	if have == nil {
		have = &set{sockets: map[unit.Size]Dim{}, bends: map[bendKey]Dim{}, branches: map[branchKey][3]Dim{}}
		s.sets[material] = have
	}
	if st.standard != "" {
		have.standard = st.standard
	}
	for k, v := range st.sockets {
		if v.Known() {
			have.sockets[k] = v
		}
	}
	for k, v := range st.bends {
		if v.Known() {
			have.bends[k] = v
		}
	}
	for k, v := range st.branches {
		under := have.branches[k]
		for p := range v {
			if v[p].Known() {
				under[p] = v[p]
			}
		}
		have.branches[k] = under
	}
}

// sourced reads basis, confidence and the grid of an entry. A basis is required.
func (r *reader) sourced(n *yaml.Node, what string) (basis string, sure Confidence, grid *yaml.Node) {
	sure = Low
	for key, v := range r.Fields(n, what, gridKeys) {
		switch key {
		case "basis":
			basis, _, _ = r.Text(v)
		case "confidence":
			sure = r.confidence(v)
		case "grid":
			grid = v
		}
	}
	if basis == "" && n != nil {
		r.Add(r.Span(n), what+" does not say where its values come from", "write basis: page, from memory, computed, geometry, custom or measured")
	}
	return basis, sure, grid
}

func (r *reader) yes(n *yaml.Node) bool {
	w, at, ok := r.Text(n)
	switch {
	case !ok:
		return false
	case w == "yes" || w == "true":
		return true
	case w != "no" && w != "false":
		r.Add(at, "found "+yamlread.Short(w)+" where yes or no is expected", "write yes or no")
	}
	return false
}

func (r *reader) confidence(n *yaml.Node) Confidence {
	w, at, ok := r.Text(n)
	if !ok {
		return Low
	}
	c, ok := sureness(w)
	if !ok {
		r.Add(at, "confidence is "+yamlread.Short(w), "write high, medium or low")
	}
	return c
}

func sureness(w string) (Confidence, bool) {
	for c := Low; c <= High; c++ {
		if c.String() == w {
			return c, true
		}
	}
	return Low, false
}

// dim reads {value: 0.09, basis: ..., confidence: ...}.
func (r *reader) dim(n *yaml.Node, what string) Dim {
	d := Dim{Confidence: Low}
	for key, v := range r.Fields(n, what, valueKeys) {
		switch key {
		case "value":
			if w, at, ok := r.Text(v); ok {
				d.V = r.inches(w, at, what)
			}
		case "basis":
			d.Basis, _, _ = r.Text(v)
		case "confidence":
			d.Confidence = r.confidence(v)
		}
	}
	return d
}

func (r *reader) lengths(n *yaml.Node) (out []unit.Length, basis string, sure Confidence) {
	sure = Low
	for key, v := range r.Fields(n, "lengths", valueKeys) {
		switch key {
		case "values":
			for _, m := range r.Items(v, "values") {
				w, at, ok := r.Text(m)
				if !ok {
					continue
				}
				l, err := unit.ParseLength(w)
				if err != nil || l <= 0 {
					r.Add(at, "stock length "+yamlread.Short(w)+" is no length over 0 in", "write 10'")
					continue
				}
				out = append(out, l)
			}
		case "basis":
			basis, _, _ = r.Text(v)
		case "confidence":
			sure = r.confidence(v)
		}
	}
	slices.Sort(out)
	return slices.Compact(out), basis, sure
}

// inches reads a bare number as inches, or a length with its unit.
func (r *reader) inches(w string, at source.Span, what string) unit.Length {
	text := w
	if strings.Trim(w, "0123456789.") == "" {
		text += `"`
	}
	l, err := unit.ParseLength(text)
	if err != nil || l < 0 {
		r.Add(at, what+": "+yamlread.Short(w)+" is no measure in inches", "write 2.3125, or . where it is not known")
		return 0
	}
	return l
}

// row is one line of a grid.
type row struct {
	r     *reader
	b     *yamlread.Block
	line  int
	cells []string
	cols  []int
	what  string
}

func (w *row) at(i int) source.Span { return w.b.Span(w.line, w.cols[i], w.cols[i]+len(w.cells[i])) }

func (w *row) size(i int) unit.Size {
	z, err := unit.ParseSize(w.cells[i])
	if err != nil {
		w.r.Add(w.at(i), err.Error(), "")
		return 0
	}
	return z
}

// dim reads a cell: `.` is not known, `?` at the end is low.
func (w *row) dim(i int, basis string, sure Confidence) Dim {
	text := w.cells[i]
	if text == "." {
		return Dim{}
	}
	text, low := strings.CutSuffix(text, "?")
	if low {
		sure = Low
	}
	return Dim{w.r.inches(text, w.at(i), w.what), sure, basis}
}

func (w *row) confidence(i int, def Confidence) Confidence {
	if w.cells[i] == "." {
		return def
	}
	c, ok := sureness(w.cells[i])
	if !ok {
		w.r.Add(w.at(i), "confidence is "+yamlread.Short(w.cells[i]), "write high, medium or low")
	}
	return c
}

// grid reads a block of lines whose first names the columns.
func (r *reader) grid(n *yaml.Node, head []string, what string) []row {
	if n == nil {
		return nil
	}
	b, ok := r.Block(n, what)
	if !ok {
		return nil
	}
	var out []row
	seenHead := false
	keys := map[string]bool{}
	for i, line := range b.Lines {
		if t := strings.TrimSpace(line); t == "" || strings.HasPrefix(t, "#") {
			continue
		}
		var cells []string
		var cols []int
		for at := 0; at < len(line); {
			if line[at] == ' ' {
				at++
				continue
			}
			end := at
			for end < len(line) && line[end] != ' ' {
				end++
			}
			cells, cols = append(cells, line[at:end]), append(cols, at)
			at = end
		}
		if !seenHead {
			seenHead = true
			if !slices.Equal(cells, head) {
				r.Add(b.Span(i, 0, len(line)), what+" has the columns "+yamlread.Short(strings.Join(cells, " ")), "write "+strings.Join(head, "  "))
				return nil
			}
			continue
		}
		if len(cells) != len(head) {
			r.Addf(b.Span(i, 0, len(line)), "%s: the row has %d cells and the grid %d columns: write . where it is not known", what, len(cells), len(head))
			continue
		}
		key := cells[0]
		if len(head) > 1 && head[1] == "branch" {
			key += " x " + cells[1]
		}
		if keys[key] {
			r.Addf(b.Span(i, 0, len(line)), "%s: %s is given twice: keep one of the two", what, key)
			continue
		}
		keys[key] = true
		out = append(out, row{r, &b, i, cells, cols, what})
	}
	return out
}
