//go:build !unix

package main

import "errors"

func openTerminal() (stage, error) {
	return nil, errors.New("this system has none")
}
