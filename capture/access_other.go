//go:build !unix

package capture

import "os"

// access cannot be found out without opening the port here, so it is not denied.
func access(_, _ string) Access { return Access{Allowed: true, User: os.Getenv("USERNAME")} }

func isBusy(error) bool { return false }
