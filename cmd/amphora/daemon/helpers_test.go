package daemon

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
)

func toJSON(t testing.TB, v any) string {
	b, err := json.MarshalIndent(v, "", " ")
	require.NoError(t, err)
	return string(b)
}
