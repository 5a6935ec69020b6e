package source

import "fettle/threads/check"

// Open reads a TOML text with its places. root is nil where the text cannot be read
// as TOML at all or breaks a limit of size or nesting, which has been reported then.
func Open(file string, src []byte) (f *Reporter, root map[string]any) {
	file, _ = Clean(file, false)
	if broken := CheckLimits(src); broken != nil {
		rule := broken.Rule
		if rule == "" {
			rule = RuleLimit
		}
		// The text is not walked any further, only as far as the place.
		f = &Reporter{Doc: NewDocument(file, string(src[:min(len(src), MaxFile)]))}
		f.Doc.Located = true
		f.At(check.Stop, rule, nil, Span{Start: int32(broken.At), End: int32(min(broken.At+1, len(f.Doc.Src)))}, broken.Message, "")
		return f, nil
	}
	f = &Reporter{Doc: NewDocument(file, string(src))}
	root, keys, err := Decode(f.Doc.Src)
	if err != nil {
		f.Doc.Located = true
		f.Syntax(err)
		return f, nil
	}
	f.Doc.Root, f.Doc.Located = Locate(f.Doc.Src, root, keys)
	return f, root
}
