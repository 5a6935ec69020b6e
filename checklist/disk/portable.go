package disk

import (
	"fmt"
	"slices"
	"strings"
)

// Portable says why a folder of that name could not be copied to every device, in
// words that end "the name ...": a job travels, and Windows keeps some names for
// devices and some signs for itself. Nil where nothing is wrong.
//
// Source: Microsoft, Naming Files, Paths, and Namespaces, as quoted in public threads.
func Portable(name string) error {
	if i := strings.IndexAny(name, `<>:"|?*`); i >= 0 {
		return fmt.Errorf("the name holds %q, which Windows cannot keep", name[i:i+1])
	}
	if strings.HasSuffix(name, ".") && name != "." && name != ".." || strings.HasSuffix(name, " ") {
		return fmt.Errorf("the name ends in %q, which Windows cannot keep", name[len(name)-1:])
	}
	stem, _, _ := strings.Cut(strings.ToUpper(name), ".")
	stem = strings.TrimRight(stem, " ")
	devices := []string{"CON", "PRN", "AUX", "NUL"}
	if port, number, ok := cutPort(stem); ok && (port == "COM" || port == "LPT") && strings.Contains("123456789¹²³", number) {
		devices = append(devices, stem)
	}
	if slices.Contains(devices, stem) {
		return fmt.Errorf("the name %s belongs to a device of Windows", stem)
	}
	return nil
}

// cutPort is the word and the one sign behind it.
func cutPort(stem string) (port, number string, ok bool) {
	runes := []rune(stem)
	if len(runes) != 4 {
		return "", "", false
	}
	return string(runes[:3]), string(runes[3:]), true
}
