package query

import (
	"os"
	"testing"

	"amphora/analyze/madeup/mangle"
)

// Damaged questions and answers in numbers that a fuzzer does not reach.

func TestMangledSCPI(t *testing.T) {
	texts, came := mangle.New(1, textsOf(questions)...), mangle.New(2, textsOf(answers)...)
	for range mangle.Rounds(t, os.Getenv(mangle.Wanted), 50_000) {
		anySCPI(t, string(texts.Next()), came.Next())
		anySCPI(t, "READ?", came.Next())
	}
}

func TestMangledModbus(t *testing.T) {
	var replies []string
	for _, q := range asked {
		replies = append(replies, q.came)
	}
	came := mangle.New(3, textsOf(replies)...)
	for n := range mangle.Rounds(t, os.Getenv(mangle.Wanted), 50_000) {
		q := asked[n%len(asked)]
		anyModbus(t, q.unit, q.function, q.address, q.count, came.Next())
		anyModbus(t, byte(n), 3+byte(n>>8)%2, uint16(n), 1+n%130, came.Next())
	}
}

func textsOf(texts []string) (all [][]byte) {
	for _, text := range texts {
		all = append(all, []byte(text))
	}
	return all
}
