package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"trapweir/examples"
	"trapweir/web"
)

// jobSuffix is what the names of job files end in.
const jobSuffix = ".dwv.yaml"

func openCmd() *cobra.Command {
	var quiet, lan bool
	var port int
	c := &cobra.Command{
		Use: "open [JOB|FOLDER]", GroupID: "job", Short: "open the workbench: draw and size a job in a page on this machine",
		Long: `Open the workbench: a page, served by this program alone, on which a job is drawn, sized
and checked as it changes. Jobs are the files of one folder, the same as for the other
commands. With no argument it opens a copy of the example houses to try things on.

It can be reached from this machine only, unless --lan opens it to the local network, for
a tablet; the address that is printed then holds a token. End it with Ctrl-C.`,
		Args: cobra.MaximumNArgs(1), ValidArgsFunction: jobArg,
		RunE: func(cmd *cobra.Command, args []string) error {
			ctx, stop := signal.NotifyContext(cmd.Context(), os.Interrupt, syscall.SIGTERM)
			defer stop()
			folder, first, err := workFolder(args, cmd.OutOrStdout())
			if err != nil {
				return err
			}
			return serve(ctx, cmd.OutOrStdout(), folder, first, port, lan, quiet)
		},
	}
	c.Flags().BoolVar(&quiet, "no-browser", false, "only print the address")
	c.Flags().IntVar(&port, "port", 0, "port to listen on (0: one that is free)")
	c.Flags().BoolVar(&lan, "lan", false, "let other machines of the local network in, by an address with a token")
	return c
}

// workFolder finds the folder to serve and the job to show first.
func workFolder(args []string, out io.Writer) (folder, first string, err error) {
	if len(args) == 0 {
		folder, err = demoFolder()
		if err != nil {
			return "", "", err
		}
		fmt.Fprintf(out, "A copy of the example houses to try things on: %s\nFor your own jobs:  trapweir open FOLDER\n", folder)
		return folder, examples.First, nil
	}
	info, err := os.Stat(args[0])
	if err != nil {
		return "", "", fmt.Errorf("%s: no such job or folder: give a *%s file or a folder that is there", args[0], jobSuffix)
	}
	if info.IsDir() {
		folder, err = filepath.Abs(args[0])
		return folder, "", err
	}
	name, ok := strings.CutSuffix(filepath.Base(args[0]), jobSuffix)
	if !ok {
		return "", "", fmt.Errorf("%s: not a job: the name of a job file ends in %s", args[0], jobSuffix)
	}
	folder, err = filepath.Abs(filepath.Dir(args[0]))
	return folder, name, err
}

// demoFolder copies the examples into a folder of their own.
func demoFolder() (string, error) {
	dir, err := os.MkdirTemp("", "trapweir-examples-")
	if err != nil {
		return "", err
	}
	return dir, os.CopyFS(dir, examples.Files)
}

func serve(ctx context.Context, out io.Writer, folder, first string, port int, lan, quiet bool) error {
	host := "127.0.0.1"
	if lan {
		host = ""
	}
	l, err := net.Listen("tcp", net.JoinHostPort(host, strconv.Itoa(port)))
	if err != nil {
		return fmt.Errorf("port %d cannot be listened on: %w: take another with --port, or leave it out", port, err)
	}
	opt := workbench(folder, first)
	opt.Hosts = []string{"127.0.0.1", "localhost", "::1"}
	at := l.Addr().(*net.TCPAddr).Port
	address := func(host string) string {
		a := "http://" + net.JoinHostPort(host, strconv.Itoa(at)) + "/"
		if opt.Token != "" {
			a += "?token=" + opt.Token
		}
		return a
	}
	if lan {
		opt.Token = web.NewToken()
		own := localAddresses()
		opt.Hosts = append(opt.Hosts, own...)
		for _, ip := range own {
			fmt.Fprintf(out, "From the local network: %s\n", address(ip))
		}
		fmt.Fprintln(out, "Whoever has that address can read and change the jobs of this folder, and what is sent is not encrypted: use it on a network you trust.")
	}
	s := web.New(opt)
	defer s.Close()
	h := &http.Server{Handler: s.Handler(), ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10}
	fmt.Fprintf(out, "The workbench: %s\n", address("127.0.0.1"))
	if !quiet {
		if err := showPage(address("127.0.0.1")); err != nil {
			fmt.Fprintln(out, "No browser could be opened; open the address by hand.")
		}
	}
	done := make(chan error, 1)
	go func() { done <- h.Serve(l) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	s.Close() // ends the streams of events, which would keep the shutdown waiting
	last, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	if err := h.Shutdown(last); err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return nil
}

// localAddresses lists the addresses of this machine on its networks.
func localAddresses() []string {
	var out []string
	as, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, a := range as {
		if n, ok := a.(*net.IPNet); ok && n.IP.IsPrivate() {
			out = append(out, n.IP.String())
		}
	}
	return out
}

// showPage opens the page in the browser of the system.
func showPage(address string) error {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	c := exec.Command(name, args...)
	if err := c.Start(); err != nil {
		return err
	}
	go func() { _ = c.Wait() }()
	return nil
}
