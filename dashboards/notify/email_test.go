package notify

import (
	"context"
	"encoding/base64"
	"io"
	"mime"
	"mime/quotedprintable"
	"net/mail"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func emailTo(t *testing.T, s *mailServer) *Email {
	return &Email{
		Server: s.address, TLS: s.always, CAFile: testhelp.File(t, s.ca), User: "amphora", PasswordFile: testhelp.File(t, "canary\n"),
		From: mail.Address{Name: "Gärage", Address: "amphora@house.example"},
		To:   []mail.Address{{Address: "a@house.example"}, {Address: "b@house.example"}},
		Now:  func() time.Time { return time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC) },
	}
}

func TestEmailArrivesEncrypted(t *testing.T) {
	for _, always := range []bool{false, true} {
		s := newMailServer(t, func(s *mailServer) { s.always = always })
		e := raised("stalled", analyze.Warning)
		e.Battery, e.Message = "Mäher", "first\nsecond \u00b1 0.1 A "+strings.Repeat("long ", 40)+"\n."
		n := newNotification([]Event{e}, 0, false, time.Now())
		require.NoError(t, emailTo(t, s).Send(t.Context(), &n))
		m := <-s.mails
		assert.True(t, m.encrypted)
		said := strings.Join(m.said, "\n")
		assert.Contains(t, said, "AUTH PLAIN "+base64.StdEncoding.EncodeToString([]byte("\x00amphora\x00canary")))
		assert.Contains(t, said, "RCPT TO:<a@house.example>\nRCPT TO:<b@house.example>")

		read, err := mail.ReadMessage(strings.NewReader(m.text))
		require.NoError(t, err)
		subject, err := new(mime.WordDecoder).DecodeHeader(read.Header.Get("Subject"))
		require.NoError(t, err)
		assert.Equal(t, "Warning: bench (Mäher), stalled", subject)
		assert.Equal(t, "<"+n.ID+".amphora@house.example>", read.Header.Get("Message-ID"))
		assert.Equal(t, "auto-generated", read.Header.Get("Auto-Submitted"))
		to, err := read.Header.AddressList("To")
		require.NoError(t, err)
		assert.Len(t, to, 2)
		date, err := read.Header.Date()
		require.NoError(t, err)
		assert.Equal(t, int64(1773524400), date.Unix())
		body, err := io.ReadAll(quotedprintable.NewReader(read.Body))
		require.NoError(t, err)
		assert.Equal(t, clean(e.Message), strings.TrimSpace(string(body)))
	}
}

// One receiver that the server does not want keeps the mail from nobody else.
func TestEmailToOneThatIsRefusedReachesTheOthers(t *testing.T) {
	for _, refused := range []string{"a", "b"} {
		s := newMailServer(t, func(s *mailServer) { s.refuse["RCPT TO:<"+refused+"@house.example>"] = "550 canary" })
		err := emailTo(t, s).Send(t.Context(), note())
		require.ErrorIs(t, err, errPartly)
		assert.ErrorContains(t, err, "to "+refused+"@house.example the mail server answers 550")
		assert.NotContains(t, err.Error(), "canary")
		assert.Contains(t, (<-s.mails).text, "Subject: ")
	}
}

// Nothing readable is sent, no server is trusted that cannot prove what it is, and
// what goes wrong is told without the password.
func TestEmailRefusesWhatIsNotSafe(t *testing.T) {
	for _, c := range []struct {
		name, want string
		change     func(*mailServer)
		mail       func(*Email)
	}{
		{"no encryption", "offers no STARTTLS", func(s *mailServer) { s.plain = true }, nil},
		{"a stranger", "certificate", nil, func(m *Email) { m.CAFile = "" }},
		{"no login", "refuses the login", func(s *mailServer) { s.refuse["AUTH"] = "535 canary is wrong" }, nil},
		{"no such receiver", "refused: the mail server answers 550", func(s *mailServer) { s.refuse["RCPT"] = "550 canary" }, nil},
		{"busy", "the mail server answers 451", func(s *mailServer) { s.refuse["MAIL"] = "451 canary" }, nil},
		{"silence", "no answer in time", func(s *mailServer) { s.hang = true }, nil},
		{"silence from the first byte", "no answer in time", func(s *mailServer) { s.hang, s.always = true, true }, nil},
		{"a greeting without end", "far more than", func(s *mailServer) { s.endless = "hello" }, nil},
		{"an answer without end", "far more than", func(s *mailServer) { s.endless = "EHLO" }, nil},
		{"a refusal without end", "far more than", func(s *mailServer) { s.endless, s.always = "MAIL", true }, nil},
		{"no authority", "holds no certificate", nil, func(m *Email) { m.CAFile = m.PasswordFile }},
		{"no password", "no such file", nil, func(m *Email) { m.PasswordFile += ".gone" }},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newMailServer(t, c.change)
			m := emailTo(t, s)
			if c.mail != nil {
				c.mail(m)
			}
			limit := time.Minute
			if s.hang || s.endless != "" {
				limit = 500 * time.Millisecond
			}
			ctx, cancel := context.WithTimeout(t.Context(), limit)
			defer cancel()
			err := m.Send(ctx, note())
			require.ErrorContains(t, err, c.want)
			assert.NotContains(t, err.Error(), "canary")
			assert.Empty(t, s.mails)
		})
	}
}

// A server takes the connection and says nothing more, and the program is stopped. The race
// detector sees whether that is without one.
func TestEmailIsGivenUpWithTheProgram(t *testing.T) {
	s := newMailServer(t, func(s *mailServer) { s.hang, s.always = true, true })
	ctx, stop := context.WithCancel(t.Context())
	time.AfterFunc(100*time.Millisecond, stop) // told by the server, it would know what came before
	require.Error(t, emailTo(t, s).Send(ctx, note()))
}

func TestTryTellsWhoeverIsThere(t *testing.T) {
	s := newMailServer(t, nil)
	require.NoError(t, Try(t.Context(), emailTo(t, s), time.Now()))
	assert.Contains(t, (<-s.mails).text, "Subject: Test message of amphora\r\n")
}
