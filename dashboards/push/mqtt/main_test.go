package mqtt

import (
	"flag"
	"fmt"
	"os"
	"testing"
)

// TestMain lets more tests run at a time than there are processors: they mostly wait.
func TestMain(m *testing.M) {
	flag.Parse()
	if err := flag.Set("test.parallel", "16"); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(m.Run())
}
