package job

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// ClipExts are the file endings taken for clips, lower case.
var ClipExts = []string{".mp4", ".mov", ".m4v", ".mkv", ".webm", ".avi", ".3gp"}

const (
	// maxKeyBytes is what an S3 key may hold, less room for what is put beside it.
	maxKeyBytes = 900
	// maxPartBytes is what a file system takes as one name.
	maxPartBytes = 200
	maxNameRunes = 120
)

var (
	idPattern     = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_.-]{0,63}$`)
	bucketPattern = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{1,61}[a-z0-9]$`)
	shaPattern    = regexp.MustCompile(`^[0-9a-f]{64}$`)
	tokenPattern  = regexp.MustCompile(`^[a-z0-9_-]+$`)
)

// ValidID reports whether s can be an id of an academy, hitter, session or
// job: it fits in a key, a subject and a header without escaping.
func ValidID(s string) bool {
	return idPattern.MatchString(s) && !strings.Contains(s, "..")
}

func validSHA256(s string) bool { return shaPattern.MatchString(s) }

func validName(s string) bool {
	if !utf8.ValidString(s) || utf8.RuneCountInString(s) > maxNameRunes {
		return false
	}
	return !strings.ContainsFunc(s, func(r rune) bool { return !unicode.IsPrint(r) })
}

// CheckBucket refuses names that are not plain bucket names.
func CheckBucket(name string) error {
	if !bucketPattern.MatchString(name) {
		return fmt.Errorf("%w: bucket %q", ErrBadInput, clip(name))
	}
	return nil
}

// CheckKey refuses object keys that could name something outside their folder
// or carry control characters.
func CheckKey(key string) error {
	bad := func(why string) error { return fmt.Errorf("%w: key %q: %s", ErrBadInput, clip(key), why) }
	switch {
	case key == "":
		return bad("empty")
	case len(key) > maxKeyBytes:
		return bad("too long")
	case !utf8.ValidString(key):
		return bad("not UTF-8")
	case strings.ContainsFunc(key, func(r rune) bool { return !unicode.IsPrint(r) }):
		return bad("unprintable character")
	case strings.ContainsAny(key, `\*?<>|"`):
		return bad("reserved character")
	case path.Clean("/"+key) != "/"+key:
		return bad("not a plain path")
	}
	for part := range strings.SplitSeq(key, "/") {
		if len(part) > maxPartBytes || strings.HasPrefix(part, ".") {
			return bad("hidden or too long part")
		}
	}
	return nil
}

// CheckClipKey is CheckKey for a key that must name a clip.
func CheckClipKey(key string) error {
	if err := CheckKey(key); err != nil {
		return err
	}
	if !IsClip(key) {
		return fmt.Errorf("%w: key %q does not end in %s", ErrBadInput, clip(key), strings.Join(ClipExts, ", "))
	}
	return nil
}

// IsClip reports whether a file name or key ends like a clip.
func IsClip(name string) bool {
	return slices.Contains(ClipExts, strings.ToLower(path.Ext(name)))
}

// CheckSubject refuses subjects that are not plain dotted tokens: a wildcard
// or a space in a subject reaches more than was meant.
func CheckSubject(s string) error {
	if len(s) > 200 {
		return fmt.Errorf("%w: subject %q", ErrBadInput, clip(s))
	}
	for tok := range strings.SplitSeq(s, ".") {
		if !tokenPattern.MatchString(tok) {
			return fmt.Errorf("%w: subject %q", ErrBadInput, clip(s))
		}
	}
	return nil
}
