package outside

import (
	"fmt"
	"io"
	"os"
	"strings"
)

const mostSecret = 64 << 10 // bytes; a file of secrets is small

// Secret is the first line of a file that holds a token, a password or an address.
func Secret(file string) (string, error) {
	text, err := SecretText(file)
	if err != nil {
		return "", err
	}
	line, _, _ := strings.Cut(text, "\n")
	if line = strings.TrimSpace(line); line == "" {
		return "", fmt.Errorf("%s: its first line is empty; put the secret there", file)
	}
	return line, nil
}

// SecretText is the whole of such a file.
func SecretText(file string) (string, error) {
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
