package report

import (
	"fmt"
	"io"
	"slices"
	"sort"
	"strings"
	"unicode"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
)

// heading prints the job's title and what is in force.
func heading(w io.Writer, r *engine.Result) {
	title := "(no title)"
	if r.Job != nil && r.Job.Title.Text != "" {
		title = r.Job.Title.Text
	}
	fmt.Fprintln(w, title)
	if r.Book != nil {
		for i, l := range r.Book.Layers() {
			word := "code"
			if i > 0 {
				word = "with"
			}
			fmt.Fprintf(w, "%s  %s: %s\n", word, l.ID, titled(l.Title, l.Invented))
			// What is not in a book cannot be missed in what it finds.
			for k, line := range wrapText(l.Status, 88) {
				lead := "book status: "
				if k > 0 {
					lead = ""
				}
				fmt.Fprintf(w, "      %s%s\n", lead, line)
			}
		}
	}
	fmt.Fprintln(w)
}

// titled is the title of a book or layer, which says once that it is invented.
func titled(title string, invented bool) string {
	if invented && !strings.Contains(strings.ToLower(title), "(invented)") {
		title += " (invented)"
	}
	return title
}

// Size prints the size of every drain and vent, and the one reason that governs each.
func Size(w io.Writer, r *engine.Result) {
	heading(w, r)
	d := Document(r)
	memory := sizeTable(w, d, r.Job.Units)
	if len(d.Vents) > 0 {
		fmt.Fprintln(w)
		v := newTable("Vent", "Ends", ">Units", ">Size", "Governed by")
		for _, x := range d.Vents {
			s := x.Size.String()
			if x.Given {
				s += " given"
				if x.Size < x.Required {
					s += ", needs " + x.Required.Short()
				}
			}
			why := ""
			if len(x.Reasons) > 0 {
				why = shortReason(x.Reasons[0], &memory)
			}
			v.add(x.Name, x.Ends, x.Units.String(), s, why)
		}
		v.write(w)
	}
	fmt.Fprintln(w)
	if memory {
		fmt.Fprintln(w, "?  place or value from memory, not checked against a published page")
	}
	at := ""
	if d.Totals.AtLeast {
		at = "at least "
	}
	fmt.Fprintf(w, "At the outlet: %s%s, %s, %s drawn.\n", at, units(d.Totals.Units), count(d.Totals.Closets, "water closet"), count(d.Totals.Fixtures, "fixture"))
	hint := ""
	if t := d.Totals; t.Errors+t.Warnings+t.Unchecked+t.Notes > 0 {
		hint = " `trapweir check` lists them."
	}
	fmt.Fprintf(w, "%s.%s\n", summary(d.Totals), hint)
	caution(w)
}

// sizeTable prints the drains. Rows of a run that say the same are put together, a reason
// that stands in the row above is not repeated, and a slope that all share is said once.
func sizeTable(w io.Writer, d Doc, sys unit.System) (memory bool) {
	slope, one := "", true
	for _, run := range d.Runs {
		for _, p := range run.Pieces {
			if p.Lies == "upright" {
				continue
			}
			if slope == "" {
				slope = p.Slope
			}
			one = one && p.Slope == slope
		}
	}
	one = one && slope != ""
	heads := []string{"Run", "Role", ">Units", ">WCs", ">Size"}
	if one {
		fmt.Fprintf(w, "All level drains at %s.\n\n", slope)
	} else {
		heads = append(heads, "Slope")
	}
	t := newTable(append(heads, "Governed by")...)
	for _, run := range d.Runs {
		above := ""
		for i := 0; i < len(run.Pieces); i++ {
			p := run.Pieces[i]
			why := shortReason(p.Governs, &memory)
			role := p.Role
			name := run.Name
			if i > 0 {
				name = "  then"
				if p.Known && p.From > 0 {
					name = "  from " + p.From.In(sys)
				}
			}
			// An arm and the drain that it goes on in, of one size for one reason.
			for i+1 < len(run.Pieces) && sameRow(p, run.Pieces[i+1]) && shortReason(run.Pieces[i+1].Governs, &memory) == why {
				i++
				if q := run.Pieces[i]; q.Role != p.Role && role == p.Role {
					role = strings.TrimPrefix(role+", "+q.Role, "trap arm, fixture ")
					if role == "drain" {
						role = "arm and fixture drain"
					}
				}
			}
			units := p.Units.String()
			if p.AtLeast {
				units = ">=" + units
			}
			s := p.Size.String()
			switch {
			case p.Given && p.Size < p.Required:
				s += " given, needs " + p.Required.Short()
			case p.Given:
				s += " given"
			case p.Existing:
				s = "not known, needs " + p.Required.Short()
			}
			say := why
			if why == above {
				say = "as above"
			}
			above = why
			row := []string{name, role, units, fmt.Sprint(p.Closets), s}
			if !one {
				row = append(row, p.Slope)
			}
			t.add(append(row, say)...)
		}
	}
	t.write(w)
	return memory
}

func sameRow(p, q Piece) bool {
	return p.Role == "trap arm" && q.Role == "fixture drain" &&
		p.Size == q.Size && p.Required == q.Required && p.Given == q.Given && p.Units == q.Units && p.AtLeast == q.AtLeast
}

// shortReason is a reason with the place only; memory becomes true when it has the mark of
// a value from memory.
func shortReason(x size.Reason, memory *bool) string {
	var parts []string
	for _, c := range x.Cites {
		s := c.At
		switch {
		case c.Kind == "local amendment" || c.Kind == "shop practice":
			s = strings.TrimSuffix(c.Book+", "+c.At, ", ")
		case s == "":
			s = c.Kind
		}
		if c.Memory {
			s += " ?"
			*memory = true
		}
		parts = append(parts, s)
	}
	if len(parts) == 0 {
		return x.Text
	}
	return x.Text + " [" + strings.Join(parts, "; ") + "]"
}

// units writes a load with its word: "1 unit", "3.5 units".
func units(l unit.Load) string {
	if l == unit.Unit {
		return "1 unit"
	}
	return l.String() + " units"
}

func count(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprint(n) + " " + word + "s"
}

func caution(w io.Writer) {
	for _, l := range wrapText(Caution, 110) {
		fmt.Fprintln(w, l)
	}
}

func reasonLine(x size.Reason) string {
	if c := citeLine(x.Cites); c != "" {
		return x.Text + " [" + c + "]"
	}
	return x.Text
}

// citeLine names printed places shortly: "Table P3005.4.1" of the book, "marlow-county: 3".
func citeLine(cs []diag.Cite) string {
	var parts []string
	for _, c := range cs {
		s := c.At
		if c.Kind == "local amendment" || c.Kind == "shop practice" {
			s = c.Book
			if c.At != "" {
				s += ": " + c.At
			}
			if c.Over != "" {
				s += "; " + bookAlone(c.Over)
			}
		}
		if s == "" {
			s = c.Kind
		}
		if c.Memory {
			s += ", from memory"
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, "; ")
}

// bookAlone says what stood below a layer, as the books keep it: the value and its place, or
// the place alone.
func bookAlone(over string) string {
	place, none := strings.CutPrefix(over, "none, ")
	if !none {
		return "the book alone: " + over
	}
	place, _, _ = strings.Cut(place, ", no ") // that it sets none is said
	return "the book alone sets none: " + place
}

func summary(t Totals) string {
	things := "things not checked"
	if t.Unchecked == 1 {
		things = "thing not checked"
	}
	return count(t.Errors, "fault") + ", " + count(t.Warnings, "warning") + ", " + fmt.Sprint(t.Unchecked) + " " + things + ", " + count(t.Notes, "note")
}

// Why prints everything that was weighed for each piece of a run. ok is false when the job
// has no such run; nothing is printed then.
func Why(w io.Writer, r *engine.Result, name string) (ok bool) {
	x, found := r.Net.Find(name)
	if !found {
		return false
	}
	heading(w, r)
	if x.Run == network.None {
		whyVent(w, r, x.Vent)
		return true
	}
	run := &r.Net.Runs[x.Run]
	doc := Document(r)
	for _, dr := range doc.Runs {
		if dr.Name != name {
			continue
		}
		said := map[string]bool{}
		for _, p := range dr.Pieces {
			whyPiece(w, r, run, p, said)
		}
	}
	if run.Fixture != network.None {
		f := &r.Loads.Fixture[run.Fixture]
		hanging(w, "Trap of the "+r.Net.Fixtures[run.Fixture].Kind.Name+": ", r.Vents.Words(r.Net, run.Fixture), 84)
		if f.Row.Cite != nil {
			how := ""
			if !f.Declared && (strings.HasPrefix(f.Row.When, "not listed") || strings.HasPrefix(f.Row.When, "by ")) {
				how = ", " + f.Row.When
			}
			fmt.Fprintf(w, "  counts %s%s [%s]\n", units(f.Units), how, citeLine([]diag.Cite{*f.Row.Cite}))
		}
		fmt.Fprintln(w)
	}
	n := 0
	for _, d := range r.Findings {
		if d.On.Name == name {
			if n == 0 {
				fmt.Fprintln(w, "Said of it:")
			}
			n++
			finding(w, d, "  ")
		}
	}
	return true
}

// whyPiece prints one piece; said holds the lines of the pieces above it, which are not
// repeated.
func whyPiece(w io.Writer, r *engine.Result, run *network.Run, p Piece, said map[string]bool) {
	s := network.SegID(p.Segments[len(p.Segments)-1])
	y := r.Sizes.Explain(s)
	where := ""
	if p.Known && (p.From > 0 || len(run.Segs) > len(p.Segments)) {
		from := "its upper end"
		if p.From > 0 {
			from = p.From.In(r.Job.Units)
		}
		where = ", from " + from + " to " + p.To.In(r.Job.Units)
	}
	given := ""
	switch {
	case p.Given:
		given = " as given"
		if p.Size < p.Required {
			given += "; the code asks for " + p.Required.String()
		}
	}
	if len(y.IfSize) > 0 {
		fmt.Fprintf(w, "%s%s: there already, its size is not known; at least %s\n", run.Name, where, p.Required)
	} else {
		fmt.Fprintf(w, "%s%s: %s%s\n", run.Name, where, p.Size, given)
	}
	fmt.Fprintf(w, "  role     %s: %s\n", y.Role, y.RoleWhy)
	at := ""
	if y.AtLeast {
		at = "at least "
	}
	fmt.Fprintf(w, "  carries  %s%s, %s\n", at, units(y.Units), count(y.Closets, "water closet"))
	for _, in := range incoming(r, s) {
		fmt.Fprintf(w, "             %s\n", in)
	}
	if y.Slope != "" && y.Role != network.PumpDischarge.String() {
		fmt.Fprintf(w, "  slope    %s\n", y.Slope)
	}
	if len(y.Reasons) > 0 {
		also := append([]size.Reason(nil), y.Reasons[1:]...)
		sort.SliceStable(also, func(a, b int) bool { return also[a].Min > also[b].Min })
		whyLine(w, "governs", y.Reasons[0])
		again := 0
		for _, x := range also {
			key := x.Min.String() + x.Text
			if said[key] {
				again++
				continue
			}
			said[key] = true
			whyLine(w, "also", x)
		}
		if again > 0 {
			fmt.Fprintf(w, "  also     %s weighed above\n", count(again, "reason"))
		}
	}
	for _, c := range y.Off {
		hanging(w, "  off      ", "switched off by "+citeLine([]diag.Cite{c}), 86)
	}
	if y.Table > 0 && y.Table != y.Required {
		fmt.Fprintf(w, "  the table alone would allow %s\n", y.Table)
	}
	for i, x := range y.IfSize {
		word := "room"
		if i > 0 {
			word = ""
		}
		fmt.Fprintf(w, "  %-8s if it is %s: %s\n", word, x.Size, x.Spare)
	}
	if y.Spare != "" && len(y.IfSize) == 0 {
		fmt.Fprintf(w, "  room     %s\n", y.Spare)
	}
	if len(y.Next) > 0 && len(y.IfSize) == 0 {
		hanging(w, "  next     ", "a bigger pipe is forced by: "+strings.Join(y.Next, "; "), 86)
	}
	fmt.Fprintln(w)
}

// hanging prints a text after a head, its further lines under the first.
func hanging(w io.Writer, head, text string, width int) {
	for _, l := range wrapText(text, width) {
		fmt.Fprintf(w, "%s%s\n", head, l)
		if strings.TrimSpace(head) != "" {
			head = strings.Repeat(" ", min(len(head), 11))
		}
	}
}

func whyLine(w io.Writer, word string, x size.Reason) {
	for i, l := range wrapText(x.Min.String()+": "+reasonLine(x), 86) {
		if i > 0 {
			word = ""
		}
		fmt.Fprintf(w, "  %-8s %s\n", word, l)
	}
	for _, c := range x.Cites {
		if c.Conflict != "" {
			for i, l := range wrapText("sources differ: "+c.Conflict, 84) {
				if i > 0 {
					l = "  " + l
				}
				fmt.Fprintf(w, "           %s\n", l)
			}
		}
	}
}

// pumped reports whether what a segment carries is the flow of its pump, whatever runs into
// the basin.
func pumped(r *engine.Result, s network.SegID) bool {
	seg := &r.Net.Segs[s]
	return seg.Basin && len(r.Loads.Part[seg.Run].Terms) > 0
}

// incoming lists what comes in along the segment's own run and what joins, with units.
func incoming(r *engine.Result, s network.SegID) []string {
	var out []string
	n := r.Net
	seen := map[string]bool{}
	var way []network.SegID
	for t := s; t != network.None; {
		seg := &n.Segs[t]
		way = append(way, t)
		if f := seg.Fixture; f != network.None {
			out = append(out, fmt.Sprintf("%s  %s", pad(r.Loads.Fixture[f].Units.String()), n.Fixtures[f].Kind.Name))
		}
		if seg.Carries || seg.Basin {
			for _, term := range r.Loads.Part[seg.Run].Terms {
				out = append(out, fmt.Sprintf("%s  %s", pad(term.Units.String()), term.What))
			}
		}
		next := network.SegID(network.None)
		for _, u := range n.Up(t) {
			if n.Segs[u].Run == seg.Run {
				next = u
				continue
			}
			name := n.RunOf(u).Name
			switch {
			case seen[name]:
			case pumped(r, t):
				seen[name] = true
				out = append(out, fmt.Sprintf("%s  into the basin: %s from %s; the pump's flow counts instead", pad(""), units(r.Loads.Units[u]), name))
			default:
				seen[name] = true
				out = append(out, fmt.Sprintf("%s  from %s", pad(r.Loads.Units[u].String()), name))
			}
		}
		t = next
	}
	// A group that comes together in what joins is in the load of that already.
	for _, c := range r.Loads.Credit {
		if slices.Contains(way, c.Seg) {
			sign, by := "-", c.Sum-c.As
			if by < 0 {
				sign, by = "+", -by
			}
			out = append(out, fmt.Sprintf("%s  %s counted as one %s", pad(sign+by.String()), c.Room, c.Name))
		}
	}
	return out
}

func pad(s string) string {
	if len(s) < 5 {
		return strings.Repeat(" ", 5-len(s)) + s
	}
	return s
}

func whyVent(w io.Writer, r *engine.Result, v network.VentID) {
	x, z := &r.Net.Vents[v], &r.Vents.Size[v]
	fmt.Fprintf(w, "vent %s: %s\n", x.Name, z.Size)
	length := "not measured"
	if z.Known {
		length = z.Length.In(r.Job.Units)
	}
	fmt.Fprintf(w, "  vents    %s; largest drain %s; developed length %s\n", units(z.Units), z.Drain, length)
	for i, y := range z.Reasons {
		word := "also"
		if i == 0 {
			word = "governs"
		}
		whyLine(w, word, y)
	}
	for _, f := range z.Serves {
		fmt.Fprintf(w, "  serves   %s\n", r.Net.Runs[r.Net.Fixtures[f].Run].Name)
	}
}

// Check prints the findings, the open questions and what was looked at.
func Check(w io.Writer, r *engine.Result) {
	heading(w, r)
	d := Document(r)
	section := func(sev diag.Severity, title string) {
		first := true
		for _, f := range d.Findings {
			if f.Severity != sev {
				continue
			}
			if first {
				fmt.Fprintf(w, "%s\n", title)
				first = false
			}
			finding(w, f, "  ")
		}
		if !first {
			fmt.Fprintln(w)
		}
	}
	section(diag.Error, "FAULTS")
	section(diag.Warning, "WARNINGS")
	section(diag.Unchecked, "NOT CHECKED - each with the question that settles it")
	section(diag.Info, "NOTES")
	looked, skipped := 0, 0
	for _, t := range d.Looked {
		if t.Looked > 0 {
			looked++
		} else {
			skipped++
		}
	}
	fmt.Fprintf(w, "%s.\n", summary(d.Totals))
	fmt.Fprintf(w, "%s looked at something here, %d had nothing to look at (`trapweir rules` says what each is about).\n", count(looked, "rule"), skipped)
	caution(w)
}

// finding prints one diagnostic: place, message, and the lines below it.
func finding(w io.Writer, d diag.Diagnostic, indent string) {
	at := d.At.String()
	if at != "" {
		at += ": "
	}
	for i, l := range wrapText(at+d.Message+" ["+d.Rule+"]", 96) {
		if i > 0 {
			l = "    " + l
		}
		fmt.Fprintf(w, "%s%s\n", indent, l)
	}
	row := func(word, text string) {
		if text == "" {
			return
		}
		for i, l := range wrapText(text, 84) {
			if i > 0 {
				word = ""
			}
			fmt.Fprintf(w, "%s    %-8s %s\n", indent, word, l)
		}
	}
	row("printed", printed(d.Cites))
	for _, c := range d.Cites {
		row("differs", c.Conflict)
	}
	row("why", d.Why)
	row("try", d.Try)
	row("ask", d.Ask)
}

// printed names the book with the place.
func printed(cs []diag.Cite) string {
	var parts []string
	for _, c := range cs {
		s := strings.TrimSpace(c.Book + " " + c.At)
		if c.Kind == "good practice" {
			s = "good practice; no code is cited"
		}
		if c.Memory {
			s += " (from memory)"
		}
		if c.Over != "" {
			s += " (" + bookAlone(c.Over) + ")"
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, "; ")
}

// Faults prints what is wrong with the writing, with the line and a caret under the words.
// Of a line that is very long the part around the words is shown; without a text no line is.
func Faults(w io.Writer, text []byte, ds []diag.Diagnostic) {
	lines := strings.Split(eols.Replace(strings.TrimPrefix(string(text), "\ufeff")), "\n")
	for _, d := range ds {
		at := d.At.String()
		if at != "" {
			at += ": "
		}
		fmt.Fprintf(w, "%s%s: %s\n", at, d.Severity, d.Message)
		if n := int(d.At.Line); len(text) > 0 && n >= 1 && n <= len(lines) && strings.IndexByte(lines[n-1], 0) < 0 {
			line, col := shown([]rune(lines[n-1]), int(d.At.Col))
			end := min(int(d.At.EndCol)-int(d.At.Col)+col, len(line)+1)
			fmt.Fprintf(w, "%5d | %s\n", n, string(line))
			if col >= 1 && col <= len(line)+1 {
				fmt.Fprintf(w, "      | %s%s\n", strings.Repeat(" ", col-1), strings.Repeat("^", max(1, end-col)))
			}
		}
		if d.Try != "" {
			fmt.Fprintf(w, "        %s\n", d.Try)
		}
	}
}

var eols = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\u0085", "\n", "\u2028", "\n", "\u2029", "\n")

// shown cuts a long line to what stands around column col and gives the column there; what
// does not print is a blank.
func shown(line []rune, col int) ([]rune, int) {
	const most, before = 160, 60
	if len(line) > most {
		from := 0
		if col > most-before {
			from = min(col-before, len(line)-most)
		}
		to := min(len(line), from+most)
		cut := append([]rune(nil), line[from:to]...)
		if from > 0 {
			copy(cut, []rune("..."))
		}
		if to < len(line) {
			copy(cut[len(cut)-3:], []rune("..."))
		}
		line, col = cut, col-from
	}
	for i, r := range line {
		if unicode.IsControl(r) {
			line[i] = ' '
		}
	}
	return line, col
}
