package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"trapweir/draw"
	"trapweir/draw/dxf"
	"trapweir/draw/list"
	"trapweir/draw/pdf"
	"trapweir/draw/svg"
	"trapweir/draw/view"
	"trapweir/engine"
	"trapweir/engine/network"
)

// drawViews are the drawings that --view names.
var drawViews = []string{"riser", "plan", "section", "details", "strip", "schedule"}

func drawCmd() *cobra.Command {
	var out, what, of, level, paper, fittings string
	var dark bool
	c := &cobra.Command{
		Use: "draw JOB -o FILE", GroupID: "job", Short: "draw the riser, a plan, the section, details, the walk or the schedules as SVG, PDF, DXF or text",
		Example: "  trapweir draw house.dwv.yaml -o riser.svg\n  trapweir draw house.dwv.yaml -o plan.pdf --view plan --level first",
		Args:    cobra.ExactArgs(1), ValidArgsFunction: jobArg,
		RunE: func(cmd *cobra.Command, args []string) error {
			if out == "" {
				return fmt.Errorf("no file to draw into: write -o riser.svg (or .pdf, .dxf, .txt; - is standard output, as SVG)")
			}
			kind, err := drawingKind(out, paper)
			if err != nil {
				return err
			}
			if fittings != "" && fittings != "all" && fittings != "none" {
				return fmt.Errorf("--fittings %s: write all or none; without it, those of one stack or floor that find room", fittings)
			}
			r, _, err := openJob(cmd, args[0], codeOf(cmd))
			if err != nil {
				return err
			}
			sheets, err := drawn(r, what, level, view.Options{Paper: paper, Of: of, Level: level, Fittings: fittings, Stamp: true})
			if err != nil {
				return err
			}
			return writeSheets(cmd, out, kind, sheets, r.Job.Title.Text, dark)
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "file to write: .svg, .pdf, .dxf or .txt; - for standard output")
	c.Flags().StringVar(&what, "view", "riser", "what to draw: "+strings.Join(drawViews, ", "))
	c.Flags().StringVar(&of, "of", "", "only this run and what drains through it; of a strip or section, where it begins")
	c.Flags().StringVar(&fittings, "fittings", "", "on a riser, call out the fittings: all, none (default: those of one stack or floor that find room)")
	c.Flags().StringVar(&level, "level", "", "only this level; of a plan, which one (below: under the floor)")
	paperFlag(c, &paper)
	c.Flags().BoolVar(&dark, "dark", false, "let an SVG follow a reader who has asked for dark pages")
	_ = c.RegisterFlagCompletionFunc("view", cobra.FixedCompletions(drawViews, cobra.ShellCompDirectiveNoFileComp))
	return codeFlag(c)
}

// drawingKind is the kind of file that a drawing goes into, and sees to it that there is
// such a paper.
func drawingKind(out, paper string) (string, error) {
	kind := strings.ToLower(filepath.Ext(out))
	if out == "-" {
		kind = ".svg"
	}
	if kind != ".svg" && kind != ".pdf" && kind != ".dxf" && kind != ".txt" {
		return "", fmt.Errorf("%s ends in %q: write .svg, .pdf, .dxf or .txt", out, kind)
	}
	return kind, knownPaper(paper)
}

// paperFlag takes the paper of a drawing and completes it.
func paperFlag(c *cobra.Command, paper *string) {
	c.Flags().StringVar(paper, "paper", "", "paper: "+paperNames()+" (default: the smallest that holds the drawing well)")
	_ = c.RegisterFlagCompletionFunc("paper", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return strings.Split(paperNames(), ", "), cobra.ShellCompDirectiveNoFileComp
	})
}

func paperNames() string {
	var out []string
	for _, z := range draw.Sizes {
		out = append(out, z.Name)
	}
	return strings.Join(out, ", ")
}

func knownPaper(name string) error {
	if name == "" {
		return nil
	}
	for _, z := range draw.Sizes {
		if z.Name == name {
			return nil
		}
	}
	return fmt.Errorf("no paper %s: write one of %s", name, paperNames())
}

// noLevel says what levels there are instead of one that is not.
func noLevel(level string, names []string) error {
	if len(names) == 0 {
		return fmt.Errorf("no level %s: the job names no levels; draw it without --level", level)
	}
	return fmt.Errorf("no level %s in the job: it has %s", level, strings.Join(first(names, 12), ", "))
}

// drawn makes the sheets of one view.
func drawn(r *engine.Result, what, level string, opt view.Options) ([]*draw.Sheet, error) {
	if opt.Of != "" {
		if x, ok := r.Net.Find(opt.Of); !ok || x.Run == network.None {
			return nil, noSuch(r, opt.Of)
		}
	}
	if level != "" && level != view.Below {
		var names []string
		found := false
		for i := range r.Net.Job.Levels {
			names = append(names, r.Net.Job.Levels[i].Name)
			found = found || r.Net.Job.Levels[i].Name == level
		}
		if !found {
			return nil, noLevel(level, names)
		}
	}
	switch what {
	case "riser":
		return []*draw.Sheet{view.Isometric(r, opt)}, nil
	case "plan":
		if level != "" {
			return []*draw.Sheet{view.Plan(r, level, opt)}, nil
		}
		var out []*draw.Sheet
		for _, l := range view.Plans(r) {
			out = append(out, view.Plan(r, l, opt))
		}
		return out, nil
	case "section":
		s, _ := view.Section(r, opt)
		return []*draw.Sheet{s}, nil
	case "details":
		s := view.Details(r, opt)
		if len(s) == 0 {
			return nil, fmt.Errorf("nothing in the job has a detail: it has no measured trap arm, standpipe, vent through the roof, cleanout, basin or backwater valve")
		}
		return s, nil
	case "strip":
		return view.Strip(r, opt), nil
	case "schedule":
		return view.Schedule(r, opt), nil
	}
	return nil, fmt.Errorf("no view %s: write one of %s", what, strings.Join(drawViews, ", "))
}

// writeSheets writes sheets into one file; kinds that hold one sheet get a number in the
// name of every further file.
func writeSheets(cmd *cobra.Command, out, kind string, sheets []*draw.Sheet, title string, dark bool) error {
	if kind == ".pdf" {
		b, err := pdf.Render(sheets, pdf.Options{Title: title, Subject: "Drain, waste and vent drawings"})
		if err != nil {
			return fmt.Errorf("%s: %w", out, err)
		}
		return writeFile(cmd, out, b)
	}
	for i, s := range sheets {
		var b []byte
		switch kind {
		case ".svg":
			b = svg.Render(s, svg.Options{Dark: dark, Exact: true})
		case ".dxf":
			b = dxf.Render(s)
		default:
			b = list.Render(s)
		}
		name := out
		if i > 0 && out != "-" {
			name = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(out, filepath.Ext(out)), i+1, filepath.Ext(out))
		}
		if err := writeFile(cmd, name, b); err != nil {
			return err
		}
	}
	return nil
}

// writeFile writes a file whole or not at all: beside it first, then in its place. The
// name - is standard output.
func writeFile(cmd *cobra.Command, name string, b []byte) error {
	if name == "-" {
		_, err := cmd.OutOrStdout().Write(b)
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(name), ".trapweir-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // nothing is left when it was renamed
	if _, err := io.Copy(f, strings.NewReader(string(b))); err != nil {
		f.Close()
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	if err := os.Chmod(f.Name(), 0o644); err != nil {
		return err
	}
	if err := os.Rename(f.Name(), name); err != nil {
		return err
	}
	fmt.Fprintln(cmd.ErrOrStderr(), name)
	return nil
}
