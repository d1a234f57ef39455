package notify

import (
	"fmt"
	"io"
	"os"
	"strings"
)

const mostSecret = 64 << 10 // bytes; a file of secrets is small

// secret is the first line of a file.
func secret(file string) (string, error) {
	text, err := secretText(file)
	if err != nil {
		return "", err
	}
	line, _, _ := strings.Cut(text, "\n")
	if line = strings.TrimSpace(line); line == "" {
		return "", fmt.Errorf("%s: its first line is empty; put the secret there", file)
	}
	return line, nil
}

func secretText(file string) (string, error) {
	f, err := os.Open(file)
	if err != nil {
		return "", fmt.Errorf("read a secret: %w", err)
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, mostSecret))
	if err != nil {
		return "", fmt.Errorf("read a secret: %w", err)
	}
	return string(b), nil
}
