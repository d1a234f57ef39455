// Package config reads amphora.yaml, the settings of the daemon. A night is
// lost if a slip of the pen is found in the morning, so everything is checked
// before anything starts: each problem is told with file, line, column and the
// likely meaning, all of them at once. The package opens no port and starts
// nothing; it looks at the machine only to see whether what is named is there.
package config
