package main

import (
	"errors"
	"os/exec"
	"path/filepath"
	"testing"
)

// The command from its start to its answer, as a person waits for it: a process, the book, the
// job, the sizes on the screen. The aim is less than 50 ms.
func BenchmarkStart(b *testing.B) {
	bin := filepath.Join(b.TempDir(), "trapweir")
	if out, err := exec.Command("go", "build", "-o", bin, ".").CombinedOutput(); err != nil {
		b.Fatalf("%s: %s", err, out)
	}
	job := filepath.Join("..", "..", "examples", "heron-lane.dwv.yaml")
	for _, command := range []string{"size", "check"} {
		b.Run(command, func(b *testing.B) {
			for b.Loop() {
				err := exec.Command(bin, command, job).Run()
				var exit *exec.ExitError
				if err != nil && (!errors.As(err, &exit) || exit.ExitCode() != 1) { // 1: findings
					b.Fatal(err)
				}
			}
		})
	}
}
