package terminal

import (
	"bytes"
	"time"
	"unicode/utf8"
)

const (
	// escapeWait is how long a lone ESC may be the start of something longer.
	// Shorter than a person notices, longer than the gap between two packets.
	escapeWait = 60 * time.Millisecond
	// sequenceWait is how long the rest of a begun sequence may take.
	SequenceWait = 250 * time.Millisecond
)

// restWait tells how long to wait for more input before b is handed on: zero
// when b ends at a boundary, else b ends inside an escape sequence or a rune.
// bubbletea takes the end of every read for such a boundary.
func RestWait(b []byte) time.Duration {
	if i := bytes.LastIndexByte(b, 0x1b); i >= 0 {
		switch tail := b[i:]; {
		case len(tail) == 1:
			return escapeWait
		case tail[1] == 'O' && len(tail) == 2:
			return SequenceWait
		case tail[1] == '[' && !sequenceEnds(tail[2:]):
			return SequenceWait
		}
	}
	for back := 1; back <= min(utf8.UTFMax-1, len(b)); back++ {
		c := b[len(b)-back]
		if utf8.RuneStart(c) {
			if !utf8.FullRune(b[len(b)-back:]) {
				return SequenceWait
			}
			break
		}
	}
	return 0
}

// sequenceEnds reports whether the text after "ESC [" holds its final byte.
func sequenceEnds(b []byte) bool {
	if len(b) > 32 {
		return true // nothing a terminal sends is that long
	}
	if len(b) > 0 && b[0] == 'M' {
		return len(b) >= 4 // the older mouse report: three bytes follow
	}
	for _, c := range b {
		if c >= 0x40 && c <= 0x7e {
			return true
		}
	}
	return false
}

// held drops what the enter key sent while it was held and the line stood still:
// more than one enter in one read is no hand's doing. The first of them counts
// where another key came before it, which last tells; it is the byte before b,
// and held gives the one after.
func Held(b []byte, last byte) (rest []byte, now byte) {
	const enter = '\r'
	rest = b[:0]
	for i := 0; i < len(b); {
		n := 1
		for b[i] == enter && i+n < len(b) && b[i+n] == enter {
			n++
		}
		if n == 1 || last != enter {
			rest = append(rest, b[i])
		}
		last = b[i]
		i += n
	}
	return rest, last
}
