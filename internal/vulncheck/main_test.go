package main

import (
	"strings"
	"testing"
)

func TestJudge(t *testing.T) {
	const (
		config   = `{"config":{"protocol_version":"v1.0.0"}}`
		std      = `{"finding":{"osv":"GO-2026-6603","fixed_version":"v1.26.9","trace":[{"module":"stdlib","package":"net/http","function":"Serve"},{"module":"trapweir","package":"trapweir/web"}]}}`
		other    = `{"finding":{"osv":"GO-2026-6603","fixed_version":"v1.2.0","trace":[{"module":"example.org/m","package":"example.org/m","function":"F"},{"module":"trapweir","package":"trapweir/web"}]}}`
		newStd   = `{"finding":{"osv":"GO-2027-0001","trace":[{"module":"stdlib","package":"os","function":"Open"}]}}`
		imported = `{"finding":{"osv":"GO-2027-0002","trace":[{"module":"example.org/m","package":"example.org/m"}]}}`
	)
	listed := listedIn([]byte("text GO-2027-0001 is not a row\n| id | package |\n|---|---|\n| GO-2026-6603 | net/http |\n"))
	for _, tt := range []struct {
		in   string
		ok   bool
		last string
	}{
		{config, true, "0 called"},
		{config + std, true, "1 called, of them 1 listed"},
		{config + std + std, true, "1 called, of them 1 listed"},
		{config + other, false, "1 called, of them 0 listed"},
		{config + newStd, false, "1 called, of them 0 listed"},
		{config + imported, true, "0 called, of them 0 listed in the standard library; 1 more"},
	} {
		says, ok, err := judge(strings.NewReader(tt.in), listed)
		if err != nil || ok != tt.ok || !strings.Contains(says[len(says)-1], tt.last) {
			t.Errorf("%s\ngives ok %v, %v, %q; want ok %v and %q", tt.in, ok, err, says, tt.ok, tt.last)
		}
	}
	for _, in := range []string{"", std, config + "{"} {
		if _, _, err := judge(strings.NewReader(in), listed); err == nil {
			t.Errorf("%q is no full output of govulncheck and was taken for one", in)
		}
	}
}
