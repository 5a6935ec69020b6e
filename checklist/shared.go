package checklist

import (
	"fmt"
	"io/fs"
	"slices"

	"fettle/checklist/source"
	"fettle/threads/check"
)

// A shared stage is a file of its own, of which a procedure says
//
//	[[stage]]
//	shared = "make-safe"
//
// Its text is copied whole into the text of the procedure before that is read, so that
// a job keeps it: a change of the file reaches no job that has begun. What is wrong in
// the copy is reported at the name.

// sharedFolder is the folder of shared stages in a folder of procedures.
const sharedFolder = "shared"

// shared is the text of a shared stage; the last folder of the library, which is the
// program's own, comes first: a file that lies beside does not take its place.
func (l *Library) shared(name string) ([]byte, bool) {
	if l == nil || !source.PlainName(name) || len(name) > 60 {
		return nil, false
	}
	for _, folder := range slices.Backward(l.folders) {
		file := sharedFolder + "/" + name + ".toml"
		info, err := fs.Stat(folder, file)
		if err != nil || !info.Mode().IsRegular() || info.Size() > maxShelfFile {
			continue
		}
		if src, err := fs.ReadFile(folder, file); err == nil {
			return src, true
		}
	}
	return nil, false
}

// sharedNames lists the shared stages that are at hand.
func (l *Library) sharedNames() []string {
	if l == nil {
		return nil
	}
	var names []string
	for _, folder := range l.folders {
		files, _ := fs.Glob(folder, sharedFolder+"/*.toml")
		for _, file := range files[:min(len(files), maxShelf)] {
			names = append(names, file[len(sharedFolder)+1:len(file)-len(".toml")])
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// sharedStage is a shared stage that a procedure names.
type sharedStage struct {
	name            string
	settings, parts []string // that it needs
	at              source.Span
}

// share copies the shared stages that a text names into it. The reporter has what is
// wrong with that; the document it answers knows which places are whose.
func (l *Library) share(f *source.Reporter, doc *source.Document, root map[string]any) (*source.Document, []sharedStage) {
	var copies []source.Copied
	var stages []sharedStage
	items, _ := root["stage"].([]map[string]any)
	for i, m := range items {
		if m["shared"] == nil {
			continue
		}
		t := &table{f: f, kind: "stage", what: "a shared stage", m: m, at: doc.Root.Field("stage").Item(i)}
		at := t.at.Field("shared")
		s := sharedStage{name: t.name("shared"), at: at.Value}
		if s.name == "" {
			continue
		}
		for _, field := range t.at.Fields {
			if field.Name != "shared" {
				f.Key(check.Stop, source.RuleUnknownKey, field, "a shared stage has nothing of its own", "")
			}
		}
		src, ok := l.shared(s.name)
		if !ok {
			f.Value(check.Stop, source.RuleUnknownName, at, fmt.Sprintf("there is no shared stage %s, neither bundled nor in a folder %s beside this file", source.Shown(s.name), sharedFolder), f.Suggest(s.name, l.sharedNames()))
			continue
		}
		body, why := s.read(src)
		if why != "" {
			f.Value(check.Stop, source.RuleUnreadable, at, fmt.Sprintf("the shared stage %s cannot be used: %s", s.name, why), "")
			continue
		}
		stages = append(stages, s)
		copies = append(copies, source.Copied{From: int(t.at.Value.Start), To: int(at.Value.End), Text: body, At: at.Value})
	}
	if len(copies) == 0 {
		return nil, stages
	}
	return doc.With(copies), stages
}

// read takes the file of a shared stage apart. It answers what is wrong.
func (s *sharedStage) read(src []byte) (body, why string) {
	if broken := source.CheckLimits(src); broken != nil {
		return "", broken.Message
	}
	doc := source.NewDocument(s.name, string(src))
	root, keys, err := source.Decode(doc.Src)
	if err != nil {
		return "", source.PlainError(err)
	}
	doc.Root, doc.Located = source.Locate(doc.Src, root, keys)
	f := &source.Reporter{Doc: doc}
	t := &table{f: f, kind: "shared", what: "a shared stage", m: root, at: doc.Root}
	if !t.format(&Procedure{}) {
		return "", "it is written in another format"
	}
	t.name("id")
	t.line("about")
	s.settings, s.parts = t.lines("settings", false), t.lines("parts", false)
	stages, _ := root["stage"].([]map[string]any)
	t.used++
	t.done()
	first := doc.Root.Field("stage").Item(0)
	switch {
	case len(f.List) > 0:
		return "", f.Sorted()[0].Message
	case len(stages) == 0 || first == nil || !doc.Located:
		return "", "it has no [[stage]]"
	case slices.ContainsFunc(stages, func(m map[string]any) bool { return m["shared"] != nil }):
		return "", "shared stages do not stand in each other"
	}
	return doc.Src[first.Value.Start:], ""
}

// checkShared reports what a shared stage needs and the procedure has not.
func (p *Procedure) checkShared(f *source.Reporter, stages []sharedStage) {
	x := p.filler(f, nil, nil)
	for _, s := range stages {
		for _, name := range s.settings {
			if p.setting(name) == nil {
				f.Original(check.Stop, source.RuleUnknownName, s.at, fmt.Sprintf("the shared stage %s needs the setting %s, which is not there", s.name, source.Shown(name)), "[settings."+name+"]")
			}
		}
		for _, name := range s.parts {
			if !slices.Contains(x.partNames(), name) {
				f.Original(check.Stop, source.RuleUnknownName, s.at, fmt.Sprintf("the shared stage %s needs the part %s, which is not there", s.name, source.Shown(name)), "")
			}
		}
	}
}
