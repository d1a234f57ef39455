// Package system holds what a machine needs to run amphora for good: the unit, the
// account, the udev example, the Debian package's own files, and build, the script
// that makes a release of it all. The package has tests only: they build a release
// and install it, look at it and take it away again in a throwaway root.
package system
