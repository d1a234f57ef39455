package config

import (
	"cmp"
	"fmt"
	"slices"
)

// Problem is something wrong in a configuration, and where.
type Problem struct {
	File         string
	Line, Column int    // counted from 1; 0 where the file as a whole is meant
	Key          string // the setting, such as channels[0].limits.hours; empty for the file as a whole
	Message      string // what is wrong and what to do
	Warning      bool   // it can be started all the same
	Untold       bool   // so can it, but somebody who is to be told is not
}

// String is the problem on one line, as compilers write theirs.
func (p Problem) String() string {
	message := p.Message
	if p.Warning {
		message = "warning: " + message
	}
	if p.Line == 0 {
		return fmt.Sprintf("%s: %s", p.File, message)
	}
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, message)
}

// Error makes a Problem fit where one is the reason of a failure.
func (p Problem) Error() string { return p.String() }

// Errors counts the problems that are no mere warnings.
func Errors(problems []Problem) int {
	n := 0
	for _, p := range problems {
		if !p.Warning {
			n++
		}
	}
	return n
}

// Forbidding counts those of them without which nothing is recorded. Whoever is to be told of a night is no
// reason to lose it.
func Forbidding(problems []Problem) int {
	n := 0
	for _, p := range problems {
		if !p.Warning && !p.Untold {
			n++
		}
	}
	return n
}

// sortProblems brings them into the order of the file.
func sortProblems(problems []Problem) {
	slices.SortStableFunc(problems, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
}
