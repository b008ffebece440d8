package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/rules"
	"trapweir/report"
	"trapweir/shelf"
)

func booksCmd() *cobra.Command {
	var with []string
	c := jsonFlag(&cobra.Command{
		Use: "books [BOOK [TABLE]]", GroupID: "look", Short: "list the code books, what is in one, or a table as it stands in print",
		Long: `List the code books and layers; or what is in one: its tables and named values; or a table as
it stands in print, notes included. Besides its tables a book has fixtures (loads and traps),
groups (what counts less together), limits (one-liners over the tables), values and places (the section of each topic).

A - is a printed dash, NL no limit; ? is from memory; [a] is a note below the table.`,
		Example: "  trapweir books\n  trapweir books BOOK\n  trapweir books BOOK fixtures\n  trapweir books BOOK building-drain --with marlow-county",
		Args:    cobra.MaximumNArgs(2),
		ValidArgsFunction: func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			switch len(args) {
			case 0:
				return shelf.IDs(), cobra.ShellCompDirectiveNoFileComp
			case 1:
				d, _ := shelf.All()
				if b, ds := d.Books.Book(args[0], nil); diag.Count(ds, diag.Error) == 0 {
					return report.TableNames(b), cobra.ShellCompDirectiveNoFileComp
				}
			}
			return nil, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			own := layersBeside(with)
			d, ds := shelf.All(own...)
			if diag.Count(ds, diag.Error) > 0 {
				faultsIn(cmd.ErrOrStderr(), own, ds)
				return errStatus(exitNoLook)
			}
			out := cmd.OutOrStdout()
			if len(args) == 0 {
				if asJSON(cmd) {
					return writeJSON(out, report.BookList(d.Books))
				}
				report.Books(out, d.Books)
				return nil
			}
			b, ds := d.Books.Book(args[0], with)
			if diag.Count(ds, diag.Error) > 0 {
				faultsIn(cmd.ErrOrStderr(), own, ds)
				return errStatus(exitNoLook)
			}
			if len(args) == 1 {
				if asJSON(cmd) {
					return writeJSON(out, report.BookContents(b))
				}
				report.Book(out, b)
				return nil
			}
			if asJSON(cmd) {
				doc, ok := report.TableDoc(b, args[1])
				if !ok {
					return noTable(b, args[1])
				}
				return writeJSON(out, doc)
			}
			if !report.Table(out, b, args[1]) {
				return noTable(b, args[1])
			}
			return nil
		},
	})
	c.Flags().StringSliceVar(&with, "with", nil, "lay these amendments and practices over it")
	return c
}

func noTable(b *codebook.Book, name string) error {
	if name == "groups" {
		return fmt.Errorf("%s has no groups: each fixture counts", b.ID())
	}
	all := report.TableNames(b)
	return fmt.Errorf("%s has no table %q; %s", b.ID(), name, orNear(name, all, "it has "+strings.Join(all, ", ")))
}

func noRule(id string) error {
	var all []string
	for _, r := range rules.All {
		all = append(all, r.ID)
	}
	return fmt.Errorf("no rule %q; %s", id, orNear(id, all, "`trapweir rules` lists them"))
}

func rulesCmd() *cobra.Command {
	return codeFlag(jsonFlag(&cobra.Command{
		Use: "rules [ID]", GroupID: "look", Short: "list the checks, or say what one asks, why, where it is printed, with examples",
		Args: cobra.MaximumNArgs(1),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			var out []string
			for _, r := range rules.All {
				out = append(out, r.ID+"\t"+r.Doc)
			}
			return out, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			d, ds := shelf.All()
			if diag.Count(ds, diag.Error) > 0 {
				report.Faults(cmd.ErrOrStderr(), nil, ds)
				return errStatus(exitNoLook)
			}
			out := cmd.OutOrStdout()
			if len(args) == 0 {
				if asJSON(cmd) {
					return writeJSON(out, report.RuleList(d))
				}
				report.Rules(out, d, codeOf(cmd))
				return nil
			}
			if asJSON(cmd) {
				doc, ok := report.RuleDoc(d, args[0])
				if !ok {
					return noRule(args[0])
				}
				return writeJSON(out, doc)
			}
			if !report.Rule(out, d, args[0]) {
				return noRule(args[0])
			}
			return nil
		},
	}))
}
