package web

//go:generate go run ./gen
