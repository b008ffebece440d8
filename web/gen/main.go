// Command gen bundles the page from web/ui into web/page, for go generate in package web.
//
// It installs the libraries that web/ui/package-lock.json names with npm, once, into
// .cache/ui, checks the types, and bundles with the esbuild of tools.mod. Only making the
// bundle needs npm; building and running the program needs neither npm nor Node.
package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

func main() {
	out := flag.String("out", "page", "folder that gets app.js, app.css and LICENSES.txt")
	types := flag.Bool("types", true, "check the types first")
	only := flag.Bool("install", false, "only install the libraries and print where they are")
	flag.Parse()
	if err := run(*out, *types, *only); err != nil {
		fmt.Fprintln(os.Stderr, "gen:", err)
		os.Exit(1)
	}
}

// run is started in the folder web.
func run(out string, types, only bool) error {
	out, err := filepath.Abs(out)
	if err != nil {
		return err
	}
	work, err := install()
	if err != nil {
		return err
	}
	if only {
		fmt.Println(work)
		return nil
	}
	// Sources are bundled beside the libraries, so that every tool finds them as usual.
	if err := os.RemoveAll(filepath.Join(work, "src")); err != nil {
		return err
	}
	if err := os.CopyFS(filepath.Join(work, "src"), os.DirFS("ui/src")); err != nil {
		return err
	}
	b, err := os.ReadFile("ui/tsconfig.json")
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(work, "tsconfig.json"), b, 0o644); err != nil {
		return err
	}
	if types {
		if err := command(work, filepath.Join(work, "node_modules", ".bin", "tsc"), "-p", "."); err != nil {
			return fmt.Errorf("types: %w", err)
		}
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return err
	}
	tools, err := filepath.Abs("../tools.mod")
	if err != nil {
		return err
	}
	err = command(work, "go", "tool", "-modfile="+tools, "esbuild", "src/app.tsx", "--bundle", "--minify", "--format=esm",
		"--target=es2022", "--charset=utf8", "--legal-comments=none", "--external:/font/*", "--outdir="+out, "--log-level=warning")
	if err != nil {
		return err
	}
	return licences(work, filepath.Join(out, "LICENSES.txt"))
}

// install fetches the libraries into .cache/ui unless those of this lock file are there.
func install() (string, error) {
	work, err := filepath.Abs("../.cache/ui")
	if err != nil {
		return "", err
	}
	lock, err := os.ReadFile("ui/package-lock.json")
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(lock)
	want := hex.EncodeToString(sum[:])
	mark := filepath.Join(work, "installed")
	if have, err := os.ReadFile(mark); err == nil && string(have) == want {
		return work, nil
	}
	if err := os.MkdirAll(work, 0o755); err != nil {
		return "", err
	}
	for _, f := range []string{"package.json", "package-lock.json"} {
		b, err := os.ReadFile(filepath.Join("ui", f))
		if err != nil {
			return "", err
		}
		if err := os.WriteFile(filepath.Join(work, f), b, 0o644); err != nil {
			return "", err
		}
	}
	if err := command(work, "npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error"); err != nil {
		return "", fmt.Errorf("npm ci: %w", err)
	}
	return work, os.WriteFile(mark, []byte(want), 0o644)
}

func command(dir, name string, args ...string) error {
	var said bytes.Buffer
	c := exec.Command(name, args...)
	c.Dir, c.Stdout, c.Stderr = dir, &said, &said
	if err := c.Run(); err != nil {
		return fmt.Errorf("%w\n%s", err, said.String())
	}
	return nil
}

// licences collects the licences of what is bundled.
func licences(work, out string) error {
	var b strings.Builder
	b.WriteString("The page contains these libraries.\n")
	root := filepath.Join(work, "node_modules")
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, _ := filepath.Rel(root, path)
		name := strings.ToUpper(d.Name())
		top := strings.Count(rel, string(filepath.Separator))
		if d.IsDir() || !strings.HasPrefix(name, "LICENSE") || top > 2 || !bundled(rel) {
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		fmt.Fprintf(&b, "\n== %s\n\n%s\n", filepath.ToSlash(filepath.Dir(rel)), strings.TrimSpace(string(text)))
		return nil
	})
	if err != nil {
		return err
	}
	return os.WriteFile(out, []byte(b.String()), 0o644)
}

// bundled tells libraries from tools.
func bundled(rel string) bool {
	rel = filepath.ToSlash(rel)
	return !strings.HasPrefix(rel, "typescript/") && !strings.HasPrefix(rel, "axe-core/") && !strings.HasPrefix(rel, "@typescript/")
}
