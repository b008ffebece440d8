package main

import (
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"trapweir/engine"
	"trapweir/engine/catalog"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/report"
	"trapweir/shelf"
)

func newCmd() *cobra.Command {
	var out, title, code string
	c := &cobra.Command{
		Use: "new FIXTURE...", GroupID: "job", Short: "start a job from a list of fixtures",
		Long: `Start a job from a list of fixtures: each gets a run that joins the main drain. Write a
number before a fixture for several of a kind, and a room before a colon. Trade words are
understood (lav, toilet, tub, washer ...), and sets: full bath, 3/4 bath, half bath, kitchen,
laundry stand for their fixtures. What a fixture counts by can stand beside it.

  trapweir new "hall bath: toilet 1.28 gpf, lav, tub" "kitchen sink with disposer" washer -o mine.dwv.yaml
  trapweir new "2 full baths" "powder room" kitchen laundry --code BOOK`,
		Args: cobra.MinimumNArgs(1),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			d, _ := shelf.All()
			var kinds []string
			for _, k := range d.Catalog.Kinds() {
				kinds = append(kinds, k.Name)
			}
			return kinds, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			d, ds := shelf.All()
			if diag.Count(ds, diag.Error) > 0 {
				report.Faults(cmd.ErrOrStderr(), nil, ds)
				return errStatus(exitNoLook)
			}
			text, err := startJob(d, title, code, args)
			if err != nil {
				return err
			}
			if out == "" {
				_, err = cmd.OutOrStdout().Write(text)
				return err
			}
			f, err := os.OpenFile(out, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
			if err != nil {
				if os.IsExist(err) {
					return fmt.Errorf("%s is there already: write another name with -o", out)
				}
				return err
			}
			if _, err := f.Write(text); err != nil {
				f.Close()
				return err
			}
			if err := f.Close(); err != nil {
				return err
			}
			fmt.Fprintf(cmd.OutOrStdout(), "%s written; see it sized with  trapweir size %s\n", out, out)
			return nil
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "write to this file (never over an existing one)")
	c.Flags().StringVar(&title, "title", "New job", "title of the job")
	c.Flags().StringVar(&code, "code", "", "code book; trapweir books lists them")
	_ = c.RegisterFlagCompletionFunc("code", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return shelf.IDs(), cobra.ShellCompDirectiveNoFileComp
	})
	return c
}

// startJob writes a job with one run a fixture. It reads its own work back, so that what
// it prints is a job.
func startJob(d engine.Data, title, code string, args []string) ([]byte, error) {
	type fix struct{ room, kind, name, more string }
	var list []fix
	count := map[string]int{}
	number := func(name string) string {
		count[name]++
		if c := count[name]; c > 1 {
			return fmt.Sprintf("%s %d", name, c)
		}
		return name
	}
	for _, a := range args {
		room := ""
		if head, rest, ok := strings.Cut(a, ":"); ok {
			room, a = strings.TrimSpace(head), rest
		}
		for _, item := range strings.Split(a, ",") {
			if item = strings.TrimSpace(item); item == "" {
				continue
			}
			x, err := readItem(d, item)
			if err != nil {
				return nil, err
			}
			for range x.count {
				members, in := []*catalog.Kind{x.kind}, room
				if x.kind.Group {
					members = x.kind.Members
					if in == "" {
						in = x.word
						if x.count > 1 {
							in = strings.TrimSuffix(in, "s")
						}
						in = number(in)
					}
				}
				for _, k := range members {
					more := x.more
					if x.kind.Has("kitchen sink") && x.kind.Has("dishwasher") && !strings.Contains(more, "dishwasher") {
						more += ", dishwasher: true"
					}
					name := strings.TrimSpace(in + " " + k.Name)
					if strings.HasPrefix(k.Name, in+" ") {
						name = k.Name // a kitchen sink in the kitchen
					}
					list = append(list, fix{in, k.Name, number(name), more})
				}
			}
		}
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("no fixtures: write what drains, for example \"water closet, lavatory, tub\"")
	}
	if code == "" {
		code = d.Default
	}
	width := len("main:")
	for _, f := range list {
		width = max(width, len(job.Quote(f.name, false))+1)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "job: %s\n", job.Quote(title, false))
	fmt.Fprintf(&b, "code: %s   # the book; ask which code and edition your building department enforces\n", code)
	b.WriteString("# with: [county, shop]   # local amendments, then shop practice\n\n")
	b.WriteString("outlet: {to: public sewer}   # invert: -6' once it is known\n\n")
	b.WriteString("# One line a pipe, with the water: what it joins, its legs (E 12', down 8'), its slope, its fixture.\n")
	b.WriteString("runs:\n")
	line := func(name, rest string) { fmt.Fprintf(&b, "  %-*s %s\n", width, job.Quote(name, false)+":", rest) }
	line("main", "{joins: outlet}")
	for _, f := range list {
		room := ""
		if f.room != "" {
			room = ", room: " + job.Quote(f.room, true)
		}
		line(f.name, "{joins: main, fixture: "+f.kind+f.more+room+"}")
	}
	b.WriteString("\n# vents:\n#   hall bath: {from: hall bath lavatory, at: end of arm, legs: [up 12'], ends: through roof}\n")
	text := []byte(b.String())
	r := engine.Run(d, engine.Input{Name: "new job", Text: text})
	for _, f := range r.Faults {
		if f.Severity == diag.Error {
			return nil, fmt.Errorf("%s: %s", f.Message, f.Try)
		}
	}
	return text, nil
}
