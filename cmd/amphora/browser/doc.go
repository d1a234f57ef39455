// Package browser tests the page as people meet it: the built program records
// made-up nights that come over a network connection, and a real browser looks at
// it. It holds tests only.
//
// One browser is shared by all tests, each in a tab of its own. A tab that reports
// an error, or a violation of the page's policy, fails its test. The browser is
// Debian's chromium; without one the tests are skipped, and fail where AMPHORA_CI
// is set.
//
// The pictures of the page are made anew by
//
//	go test ./cmd/amphora/browser -run Pictures -pictures $PWD/dashboards/web/pictures
//
// and with -run KeepUp -household 10m the pages of invented households stay up for so
// long, to be looked at.
package browser
