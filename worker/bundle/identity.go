package bundle

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"slices"
)

// Identity is what a result depends on.
type Identity struct {
	ClipSHA256  string
	CardsSHA256 []string // in the order in which they are merged
	Program     string   // version
	Products    []string // empty: all
}

// ID names the bundle: 32 hexadecimal digits.
func (i Identity) ID() string {
	h := sha256.New()
	fmt.Fprintf(h, "clip %s\nprogram %q\n", i.ClipSHA256, i.Program)
	for _, c := range i.CardsSHA256 {
		fmt.Fprintf(h, "card %s\n", c)
	}
	for _, p := range slices.Sorted(slices.Values(i.Products)) {
		fmt.Fprintf(h, "product %q\n", p)
	}
	return hex.EncodeToString(h.Sum(nil))[:32]
}

// Owner says whose swing it is; empty parts are allowed.
type Owner struct {
	Academy string `json:"academy,omitempty"`
	Hitter  string `json:"hitter,omitempty"`
	Session string `json:"session,omitempty"`
	Label   string `json:"label,omitempty"`
}

// Nobody stands in a key for a part that is not known; no id can begin so.
const Nobody = "_"

// Prefix is the folder of an owner's bundle, ending in a slash.
func Prefix(o Owner, id string) string {
	return fmt.Sprintf("swings/%s/%s/%s/", orNobody(o.Academy), orNobody(o.Hitter), id)
}

// ClipPrefix is the folder of an owner's clip, ending in a slash.
func ClipPrefix(o Owner, clipSHA256 string) string {
	return fmt.Sprintf("clips/%s/%s/%s/", orNobody(o.Academy), orNobody(o.Hitter), clipSHA256[:16])
}

func orNobody(s string) string {
	if s == "" {
		return Nobody
	}
	return s
}

// HashFile returns a file's SHA-256 in hexadecimal and its size.
func HashFile(path string) (sum string, size int64, err error) {
	f, err := os.Open(path)
	if err != nil {
		return "", 0, err
	}
	defer f.Close()
	h := sha256.New()
	size, err = io.Copy(h, f)
	if err != nil {
		return "", 0, err
	}
	return hex.EncodeToString(h.Sum(nil)), size, nil
}
