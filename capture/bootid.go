package capture

import "crypto/rand"

// processBoot is a boot id where the system has none: each start of the program
// counts as a boot, and the wall clock bridges from one to the next.
func processBoot() string { return "process-" + rand.Text() }
