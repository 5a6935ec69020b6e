package threads

import "strings"

// Search lists up to limit threads for what has been typed so far, best first:
// the thread or threads it names outright, then those whose name begins with it,
// shortest first, then those whose name contains it, then near misses. Series
// names may come first ("ba 2", "bsp 1/8") and be other words for the same
// ("whit"). Nothing typed gives the first threads of All. A special that is fully
// named is found as well.
func Search(typed string, limit int) []Thread {
	if limit < 1 {
		return nil
	}
	var s search
	s.limit = limit
	query := searchKey(typed)
	all := All()
	if query == "" {
		return all[:min(limit, len(all))]
	}
	if t, err := Parse(typed); err == nil {
		s.add(t)
	} else if a, ok := err.(*AmbiguousError); ok {
		for _, t := range a.Candidates {
			s.add(t)
		}
	}
	var contains []Thread
	var byExtra [longestName][]Thread
	var key [4 * longestName]byte
	for _, t := range all {
		rank := -1
		for form := 0; form < 3; form++ {
			k := appendKey(key[:0], t, form)
			if len(k) == 0 {
				continue
			}
			if strings.HasPrefix(string(k), query) {
				extra := len(k) - len(query)
				if form == 2 || form == 1 && t.Series == ISOCoarse {
					extra += 8 // an alias comes after a proper name
				}
				if rank < 0 || extra < rank {
					rank = extra
				}
			} else if rank < 0 && len(query) > 1 && strings.Contains(string(k), query) {
				rank = len(byExtra)
			}
		}
		switch {
		case rank < 0:
		case rank < len(byExtra):
			byExtra[rank] = append(byExtra[rank], t)
		default:
			contains = append(contains, t)
		}
	}
	for _, group := range byExtra {
		for _, t := range group {
			s.add(t)
		}
	}
	for _, t := range contains {
		s.add(t)
	}
	if len(s.found) == 0 {
		for _, name := range suggest(typed) {
			if t, err := Parse(name); err == nil {
				s.add(t)
			}
		}
	}
	return s.found
}

type search struct {
	limit int
	found []Thread
}

func (s *search) add(t Thread) {
	if len(s.found) >= s.limit {
		return
	}
	for _, f := range s.found {
		if f == t {
			return
		}
	}
	s.found = append(s.found, t)
}

// searchKey folds what was typed: lower case, one "x" between figures, no other
// blanks or signs.
func searchKey(typed string) string {
	if len(typed) > longestName {
		return ""
	}
	s := strings.TrimSpace(nameMarks.Replace(strings.ToLower(typed)))
	for _, p := range [...]string{"no. ", "no.", "no ", "#"} {
		s = strings.TrimPrefix(s, p)
	}
	out := make([]byte, 0, len(s))
	for i := 0; i < len(s); i++ {
		c := s[i]
		switch {
		case c == ' ' || c == '"' || c == '#':
			// A blank between two figures stands for the x, unless it is the
			// whole part of a mixed fraction.
			j := i
			for j < len(s) && s[j] == ' ' {
				j++
			}
			if c == ' ' && len(out) > 0 && digit(out[len(out)-1]) && j < len(s) && digit(s[j]) {
				if strings.Contains(string(out), "/") {
					out = append(out, 'x')
				} else {
					out = append(out, ' ')
				}
			}
			i = max(i, j-1)
		default:
			out = append(out, c)
		}
	}
	return strings.ReplaceAll(string(out), "tpi", "")
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

// appendKey writes the folded name of a thread: 0 as printed, 1 with the series
// in front, 2 under another word for the series. It is empty where there is no
// such form.
func appendKey(b []byte, t Thread, form int) []byte {
	word, other := "", ""
	switch t.Series {
	case ISOCoarse, ISOFine, MetricOther:
		if form == 0 {
			return append(append(b, "m"...), strings.ToLower(t.String()[1:])...)
		}
		if form == 1 && t.Series == ISOCoarse { // "m4x0.7"
			return append(append(append(append(b, 'm'), t.Size...), 'x'), trim(t.Pitch.MM())...)
		}
		return b
	case BANumbered:
		word = "ba"
	case ME:
		word, other = "me", "model"
	case Brass:
		word, other = "brass", "bsb"
	case BSW:
		word, other = "bsw", "whitworth"
	case BSF:
		word = "bsf"
	case PipeG:
		word, other = "g", "bsp"
	case PipeR:
		word, other = "r", "bspt"
	case PipeRc:
		word = "rc"
	case PipeRp:
		word = "rp"
	case UNC, UNF, UNEF, NPT, Acme:
		word = strings.ToLower(string(t.Series))
	case Cycle:
		word, other = "cycle", "bsc"
	case Trapezoidal:
		if form == 0 {
			return append(b, strings.ToLower(t.String())...)
		}
		return b
	}
	pitch := func(sign byte) {
		if t.Series == ME || t.Series == Brass || t.Series == Cycle || t.Series == NPT || t.Series == Acme || t.Form == Unified || form == 2 && (t.Series == BSW || t.Series == BSF) {
			b = append(append(b, sign), trim(t.TPI)...)
		}
	}
	sign := byte('x')
	if t.Form == Unified || t.Series == NPT || t.Series == Acme {
		sign = '-'
	}
	switch {
	case form == 0 && (t.Series == PipeG || t.Series == PipeR || t.Series == PipeRc || t.Series == PipeRp):
		return append(append(b, word...), t.Size...)
	case form == 0:
		b = append(b, t.Size...)
		pitch(sign)
		return append(b, word...)
	case form == 1 && (t.Series == PipeG || t.Series == PipeR):
		return append(append(b, other...), t.Size...)
	case form == 1:
		b = append(append(b, word...), t.Size...)
		pitch(sign)
		return b
	case other == "" && t.Series == BSF:
		// "1/4x26" finds BSF as well.
		b = append(b, t.Size...)
		pitch('x')
		return b
	case other == "":
		return b
	}
	b = append(b, t.Size...)
	pitch(sign)
	return append(b, other...)
}
