package web

import (
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"fmt"
	"os"
	"strings"

	"golang.org/x/crypto/bcrypt"
)

// shortestToken keeps tokens out of the reach of guessing, bytes.
const shortestToken = 16

// longestSecrets is the most that a file of them may hold, bytes.
const longestSecrets = 64 << 10

// secrets are what a login is checked against.
type secrets struct {
	token  [sha256.Size]byte // of the token
	tokens bool              // there is one
	users  map[string][]byte // bcrypt hashes
	anyone []byte            // one of them, for names that are not known

	// good goes with them: what is taken out of the files is not remembered, not even of
	// a login that was being checked meanwhile.
	good logins
}

// readSecrets reads the files that there are.
func readSecrets(a Access) (*secrets, error) {
	s := &secrets{users: make(map[string][]byte)}
	if a.TokenFile != "" {
		text, err := readSecret(a.TokenFile)
		if err != nil {
			return nil, err
		}
		token := strings.TrimSpace(text)
		if len(token) < shortestToken || strings.ContainsAny(token, "\r\n") {
			return nil, fmt.Errorf("access: %s holds no token, want one line of %d characters or more", a.TokenFile, shortestToken)
		}
		s.token, s.tokens = sha256.Sum256([]byte(token)), true
	}
	if a.UsersFile != "" {
		text, err := readSecret(a.UsersFile)
		if err != nil {
			return nil, err
		}
		if err := s.addUsers(a.UsersFile, text); err != nil {
			return nil, err
		}
	}
	return s, nil
}

func (s *secrets) addUsers(path, text string) error {
	n := 0
	for line := range strings.Lines(text) {
		n++
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		name, hash, found := strings.Cut(line, ":")
		name, hash = strings.TrimSpace(name), strings.TrimSpace(hash)
		if _, err := bcrypt.Cost([]byte(hash)); !found || name == "" || err != nil {
			return fmt.Errorf("access: %s line %d is not a name, a colon and a bcrypt hash", path, n)
		}
		s.users[name] = []byte(hash)
		s.anyone = s.users[name]
	}
	if len(s.users) == 0 {
		return fmt.Errorf("access: %s names no user, want lines of a name, a colon and a bcrypt hash", path)
	}
	return nil
}

// accept checks a name and password, or a token without a name or with any: a
// browser has no other way to send one. An unknown name takes as long as a wrong
// password. turn limits how many passwords are hashed at once, because each
// takes a core for a good part of a second on a small machine.
func (s *secrets) accept(ctx context.Context, name, secret string, turn chan struct{}) (bool, error) {
	sum := sha256.Sum256([]byte(secret))
	if s.tokens && subtle.ConstantTimeCompare(sum[:], s.token[:]) == 1 {
		return true, nil
	}
	if s.anyone == nil {
		return false, nil
	}
	select {
	case turn <- struct{}{}:
		defer func() { <-turn }()
	case <-ctx.Done():
		return false, ctx.Err()
	}
	hash, known := s.users[name]
	if !known {
		hash = s.anyone
	}
	fits := bcrypt.CompareHashAndPassword(hash, []byte(secret)) == nil
	return fits && known, nil
}

// readSecret reads a small file. Its content appears in no error.
func readSecret(path string) (string, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return "", fmt.Errorf("access: %w", err)
	}
	if len(text) > longestSecrets {
		return "", fmt.Errorf("access: %s is longer than %d bytes, this cannot be the right file", path, longestSecrets)
	}
	return string(text), nil
}
