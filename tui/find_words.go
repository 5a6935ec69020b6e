package tui

import (
	"slices"
	"strings"
	"unicode"
)

// searchable writes text in small letters with a space before every word, so
// that a word is found by its beginning. What a hyphen joins is one word too.
func searchable(text string) string {
	var b, joined strings.Builder
	for _, word := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune("-./", r)
	}) {
		word = strings.Trim(word, "-./")
		b.WriteString(" " + strings.ReplaceAll(word, "-", " "))
		if strings.Contains(word, "-") {
			joined.WriteString(" " + strings.ReplaceAll(word, "-", ""))
		}
	}
	return b.String() + joined.String()
}

// queryWords are the words of a query, without those that ask and say nothing
// of what is looked for.
func queryWords(text string) []string {
	words := strings.Fields(searchable(text))
	told := slices.DeleteFunc(slices.Clone(words), func(w string) bool {
		switch w {
		case "a", "an", "the", "for", "of", "to", "in", "on", "is", "are", "do", "i", "my", "me", "it", "how", "what", "where", "which", "with", "can", "and":
			return true
		}
		return false
	})
	if len(told) == 0 {
		return words
	}
	return told
}

// holds counts the words that text has; one that ends in s is found without it.
func holds(text string, words []string) (n int) {
	for _, w := range words {
		single := strings.TrimSuffix(w, "s")
		if strings.Contains(text, " "+w) || len(single) > 2 && strings.Contains(text, " "+single) {
			n++
		}
	}
	return n
}

// saidByLookUp tells which words beside a thread the look-up of it answers.
func saidByLookUp(word string) bool {
	switch strings.TrimSuffix(word, "s") {
	case "drill", "tap", "tapping", "tapped", "hole", "clearance", "clear", "size", "spanner", "pitch", "tpi", "head", "thread", "core", "nut", "flat":
		return true
	}
	return false
}

// actWords are what people also call what a button does.
func actWords(word string) string {
	switch word {
	case "Bring":
		return "print list shopping buy order next visit missing"
	case "Record":
		return "print paper report log"
	case "Mouse":
		return "copy select clipboard"
	case "Who":
		return "name person user change"
	case "Home":
		return "quit exit close leave other job"
	case "Leave":
		return "quit exit close stop"
	case "Finding":
		return "report photo picture damage broken stripped sheared worn wrong leak lost problem fault"
	case "Findings":
		return "photo picture damage problem fault decided decision"
	case "Undo":
		return "mistake wrong take back correct delete"
	case "Note":
		return "remark comment remember"
	case "Reading":
		return "measure measurement figure value correct"
	case "Skip":
		return "leave out not fitted"
	case "Steps":
		return "overview all contents"
	case "Gates":
		return "tally blanks inside rag count allow pass why waits"
	case "Test":
		return "hydraulic water pump"
	case "Sunlight":
		return "contrast theme colour dark outside"
	case "Fingers":
		return "touch gloves big buttons tablet"
	case "Thread":
		return "drill tap tapping spanner clearance hole size pitch tpi"
	case "Help":
		return "keys"
	case "Demo":
		return "example try"
	}
	return ""
}
