// Package web serves the HTTP interface and the page.
//
// The problem: the page stands in a home network, and the browser is the way in:
// any site that somebody in the house visits can send requests to it.
//
// The promise: every route refuses hosts it does not know and requests that come
// from other sites; nothing is changed by a GET; requests, answers, connections
// and streams are bounded; a browser that stalls is cut off and holds up nobody.
// Beyond the loopback interface nothing is served without a login.
//
// It computes no result: what it shows comes from the live state and the logbook.
package web
