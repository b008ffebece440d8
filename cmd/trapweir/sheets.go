package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"trapweir/draw/view"
)

func sheetsCmd() *cobra.Command {
	var out, paper, date string
	c := &cobra.Command{
		Use: "sheets JOB -o set.pdf", GroupID: "job", Short: "make the permit set: riser, plans, schedules with reasons, section, test page, open questions",
		Long: `Sheets writes the whole permit set as one PDF: cover with the code basis, fixture and unit
schedule, drain sizes each with its rule, vents, findings and open questions, riser, plans,
long section, the walk of the water, details, test and inspection page, notes and cautions,
what the office asks for, and what only the eye finds on the site.

It leaves room for licence, signature and stamp. It computes; it does not approve.`,
		Args: cobra.ExactArgs(1), ValidArgsFunction: jobArg,
		RunE: func(cmd *cobra.Command, args []string) error {
			if out == "" {
				return fmt.Errorf("no file to write into: write -o set.pdf (- is standard output)")
			}
			kind := strings.ToLower(filepath.Ext(out))
			if out != "-" && kind != ".pdf" {
				return fmt.Errorf("%s ends in %q: a permit set is one .pdf", out, kind)
			}
			if err := knownPaper(paper); err != nil {
				return err
			}
			r, _, err := openJob(cmd, args[0], codeOf(cmd))
			if err != nil {
				return err
			}
			return writeSheets(cmd, out, ".pdf", view.Sheets(r, view.Options{Paper: paper, Date: date}), r.Job.Title.Text, false)
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "PDF file to write; - for standard output")
	c.Flags().StringVar(&paper, "paper", "letter", "paper: "+paperNames())
	c.Flags().StringVar(&date, "date", "", "date for the title block, as it shall stand there")
	return codeFlag(c)
}
