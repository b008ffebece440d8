package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"trapweir/engine/yamlread"
)

// sayArgs lets a command say which of its words is missing or too many.
func sayArgs(c *cobra.Command) {
	judge := c.Args
	if judge == nil {
		return
	}
	c.Args = func(cmd *cobra.Command, args []string) error {
		if judge(cmd, args) == nil {
			return nil
		}
		want := words(cmd)
		if len(args) >= len(want) {
			return fmt.Errorf("%s has %q as one word too many: write `trapweir %s`, a name with blanks in quotes", cmd.Name(), args[len(args)-1], cmd.Use)
		}
		what := want[len(args)]
		switch what {
		case "JOB":
			what = "the job, a file such as house.dwv.yaml"
		case "RUN":
			what = "the run or vent, by its name in the job"
		case "FIXTURE...":
			what = "what drains, such as \"hall bath: water closet, lavatory, tub\""
		}
		return fmt.Errorf("%s wants %s: write `trapweir %s`", cmd.Name(), what, cmd.Use)
	}
}

// words are the words that a command takes, without its flags.
func words(cmd *cobra.Command) []string {
	var out []string
	for _, w := range strings.Fields(cmd.Use)[1:] {
		if strings.HasPrefix(w, "-") {
			break
		}
		out = append(out, w)
	}
	return out
}

// sayFlag names the flag that was probably meant.
func sayFlag(cmd *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	if !errors.As(err, &unknown) {
		return err
	}
	var known []string
	cmd.Flags().VisitAll(func(f *pflag.Flag) { known = append(known, f.Name) })
	name := unknown.GetSpecifiedName()
	dash := "--"
	if len(name) == 1 {
		dash = "-"
	}
	try := "it has none"
	if near := yamlread.Nearest(name, known); near != "" {
		try = "did you mean --" + near + "?"
	} else if len(known) > 0 {
		try = "it has --" + strings.Join(known, ", --")
	}
	return fmt.Errorf("%s has no flag %s%s; %s", cmd.Name(), dash, name, try)
}

// sayCommand answers a first word that is no command: where it is a job, what to write.
func sayCommand(err error, args []string) error {
	if len(args) == 0 || !strings.HasPrefix(err.Error(), "unknown command") {
		return err
	}
	if strings.HasSuffix(args[0], ".yaml") {
		return fmt.Errorf("%s is no command: write `trapweir size %s`, or check, why, walk ... before it (`trapweir help`)", args[0], args[0])
	}
	return errors.New(strings.TrimSpace(err.Error()) + "\n\n`trapweir help` lists the commands")
}

// sayFolder answers a folder where a job was wanted with the jobs in it.
func sayFolder(path string) error {
	jobs, _ := filepath.Glob(filepath.Join(path, "*.dwv.yaml"))
	slices.Sort(jobs)
	if len(jobs) > 12 {
		jobs = append(jobs[:12], "...")
	}
	if len(jobs) == 0 {
		return fmt.Errorf("%s is a folder without a job in it: write the path of a .dwv.yaml file, or make one with `trapweir new`", path)
	}
	return fmt.Errorf("%s is a folder: write one of the jobs in it, %s", path, strings.Join(jobs, ", "))
}

// isFolder reports whether a path leads to a folder.
func isFolder(path string) bool {
	i, err := os.Stat(path)
	return err == nil && i.IsDir()
}

// orNear ends "no such thing" with the nearest name, else with otherwise.
func orNear(name string, known []string, otherwise string) string {
	if near := yamlread.Nearest(name, known); near != "" {
		return "did you mean " + near + "?"
	}
	return otherwise
}

// version is what this binary was built from: the release, else the commit.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	v := info.Main.Version
	if v == "" || v == "(devel)" {
		v = "unreleased"
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				v += ", commit " + s.Value
			}
		}
	}
	return v
}
