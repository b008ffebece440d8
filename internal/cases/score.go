package cases

import (
	"fmt"
	"io"
	"sort"
	"strings"
	"text/tabwriter"
)

// Score counts outcomes: right of all, by kind. Of silence, only what ran is counted.
type Score struct{ Right, All [kinds]int }

// Add counts a case in.
func (s *Score) Add(r Report) {
	for _, o := range r.Outcomes {
		if o.Kind == Silence && !o.Ran {
			continue
		}
		s.All[o.Kind]++
		if o.OK {
			s.Right[o.Kind]++
		}
	}
}

// Alarms is how many rules were raised that had to keep silent.
func (s *Score) Alarms() int { return s.All[Silence] - s.Right[Silence] }

// Line is the score in one line.
func (s *Score) Line() string {
	return fmt.Sprintf("expected found: %d of %d; false alarms: %d of %d; sizes right: %d of %d",
		s.Right[Found], s.All[Found], s.Alarms(), s.All[Silence], s.Right[Sized], s.All[Sized])
}

// Below says what of a floor is lost, "" when nothing is.
func (s *Score) Below(f Floor) string {
	var lost []string
	if s.Right[Found] < f.Found {
		lost = append(lost, fmt.Sprintf("%d findings found, %d before", s.Right[Found], f.Found))
	}
	if s.Alarms() > f.Alarms {
		lost = append(lost, fmt.Sprintf("%d false alarms, %d before", s.Alarms(), f.Alarms))
	}
	if s.Right[Sized] < f.Sizes {
		lost = append(lost, fmt.Sprintf("%d sizes right, %d before", s.Right[Sized], f.Sizes))
	}
	return strings.Join(lost, "; ")
}

// All checks every case of the suite.
func (s *Suite) All(run Runner) ([]Report, *Score) {
	var out []Report
	score := &Score{}
	for _, id := range s.IDs() {
		r := s.Check(s.Cases[id], run)
		score.Add(r)
		out = append(out, r)
	}
	return out, score
}

var kindWords = [kinds]string{"finding", "silence", "size", "question", "invert"}

// Write prints a table of the cases and, as the last line, the score. With every true each
// entry is shown, else only what is not right.
func Write(w io.Writer, reports []Report, score *Score, every bool) error {
	t := tabwriter.NewWriter(w, 0, 8, 2, ' ', 0)
	fmt.Fprintln(t, "case\tfound\talarms\tsizes\tquestions\tinverts")
	for _, r := range reports {
		var one Score
		one.Add(r)
		fmt.Fprintf(t, "%s\t%s\t%d of %d\t%s\t%s\t%s\n", r.ID, one.part(Found), one.Alarms(), one.All[Silence], one.part(Sized), one.part(Asked), one.part(Invert))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	for _, r := range reports {
		if err := r.write(w, every); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintf(w, "questions asked: %s; inverts right: %s\n%s\n", score.part(Asked), score.part(Invert), score.Line())
	return err
}

func (s *Score) part(k Kind) string {
	if s.All[k] == 0 {
		return "-"
	}
	return fmt.Sprintf("%d of %d", s.Right[k], s.All[k])
}

func (r *Report) write(w io.Writer, every bool) error {
	var b strings.Builder
	for _, name := range sortedKeys(r.Failed) {
		fmt.Fprintf(&b, "  no result  %s: %s\n", name, r.Failed[name])
	}
	for _, o := range r.Outcomes {
		if o.OK && !every {
			continue
		}
		mark := "  missing "
		switch {
		case o.OK:
			mark = "  right   "
		case o.Kind == Silence:
			mark = "  alarm   "
		}
		fmt.Fprintf(&b, "%s %-8s %s", mark, kindWords[o.Kind], o.Say)
		if o.Why != "" {
			fmt.Fprintf(&b, ": %s", o.Why)
		}
		b.WriteByte('\n')
	}
	if every {
		for _, a := range r.Also {
			fmt.Fprintf(&b, "  also      %s\n", a)
		}
	}
	if b.Len() == 0 {
		return nil
	}
	_, err := fmt.Fprintf(w, "\n%s\n%s", r.ID, b.String())
	return err
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
