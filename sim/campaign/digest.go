package campaign

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
)

// Digest is a short name for a value, by its JSON.
func Digest(v any) (string, error) {
	text, err := json.Marshal(v)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8]), nil
}
