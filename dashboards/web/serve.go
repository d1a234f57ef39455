package web

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"time"
)

const (
	mostConnections = 256
	longestHeader   = 16 << 10
	headerWithin    = 5 * time.Second
	idleFor         = 60 * time.Second
	// stopWithin is how long answers that are under way may take when the server
	// stops.
	stopWithin = 1500 * time.Millisecond
)

// Scheme is how an address of the page begins, http or https.
func (s *Server) Scheme() string {
	if s.tls == nil {
		return "http"
	}
	return "https"
}

// Serve answers on a listener until the context ends, then stops within two
// seconds, open streams or not, and returns nil. It closes the listener. Beyond
// the loopback interface it refuses to start without a login.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	if err := s.MayServe(l.Addr()); err != nil {
		return errors.Join(err, l.Close())
	}
	if s.tls == nil && !loopback(l.Addr()) {
		s.log.Warn("logins can be overheard: give tls-cert and tls-key under access", "listen", l.Addr().String())
	}
	l = atMost(mostConnections, l)
	if s.tls != nil {
		l = tls.NewListener(l, s.tls.config())
	}
	// Streams live as long as their requests, and those as long as base.
	base, end := context.WithCancel(context.WithoutCancel(ctx))
	defer end()
	server := &http.Server{
		Handler: s, BaseContext: func(net.Listener) context.Context { return base },
		ReadHeaderTimeout: headerWithin, IdleTimeout: idleFor, MaxHeaderBytes: longestHeader,
		DisableGeneralOptionsHandler: true,
		ErrorLog:                     slog.NewLogLogger(s.log.Handler(), slog.LevelDebug), // what clients do wrong
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()
	select {
	case err := <-ended:
		return fmt.Errorf("serve on %s: %w", l.Addr(), err)
	case <-ctx.Done():
	}
	end()
	patience, enough := context.WithTimeout(context.WithoutCancel(ctx), stopWithin)
	defer enough()
	if server.Shutdown(patience) != nil {
		_ = server.Close() // whoever is still there does not take the answer
	}
	<-ended
	return nil
}

// MayServe refuses to serve a network without a login.
func (s *Server) MayServe(at net.Addr) error {
	if loopback(at) {
		return nil
	}
	if !s.login.needed() {
		return fmt.Errorf("listen on %s: others can reach it, so give a token-file or users-file under access; "+
			"or listen on 127.0.0.1", at)
	}
	return nil
}

// loopback reports whether only this host can reach an address.
func loopback(at net.Addr) bool {
	if at.Network() == "unix" {
		return true
	}
	a, err := netip.ParseAddrPort(at.String())
	return err == nil && a.Addr().Unmap().IsLoopback()
}
