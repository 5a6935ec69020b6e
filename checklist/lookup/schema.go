package lookup

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"

	"fettle/checklist/workshop"
	"fettle/threads/check"
)

// Format is what the JSON of a look-up says it is.
func (s Sheet) Format() string { return "fettle." + s.Name + "/1" }

// Document is the JSON of a look-up: an answer for each question in its order, or the
// error of one that could not be answered.
func (s Sheet) Document(answers []Answer, failed []error) Rows {
	items := make([]any, len(answers))
	for i, a := range answers {
		items[i] = a
		if failed[i] != nil {
			items[i] = Rows{data("error", failed[i].Error())}
		}
	}
	return Rows{data("format", s.Format()), data("items", items)}
}

// Schema is the JSON Schema of what the look-up answers: the keys of all its examples,
// worked out here and now, so that it cannot say anything else than they do. A figure
// that is not known is null. The error is that of an example that does not work.
func (s Sheet) Schema() (map[string]any, error) {
	tools, err := workshop.Parse(`drills = [3.3]` + "\n" + `taps = ["M4"]` + "\n" + `spanners = ["7 mm"]`)
	if err != nil {
		return nil, err
	}
	var item map[string]any
	for i, line := range slices.Concat(s.Examples, s.also, s.Examples[:1]) {
		if s.Or != "" && strings.HasSuffix(line, " --"+s.Or) {
			continue // an example of the other
		}
		own := workshop.Tools{}
		if i == len(s.Examples)+len(s.also) { // once more with tools at hand
			own = tools
		}
		a, err := s.Work(s.example(line), own)
		if err != nil {
			return nil, err
		}
		text, err := a.MarshalJSON()
		if err != nil {
			return nil, err
		}
		var value any
		if err := json.Unmarshal(text, &value); err != nil {
			return nil, err
		}
		item = merged(item, shape(value))
	}
	if item == nil {
		return nil, errors.New("the look-up has no example")
	}
	properties := item["properties"].(map[string]any)
	properties["verdict"] = map[string]any{"enum": []check.Severity{check.Stop, check.Warn, check.Ask, check.Note, check.Good}}
	item["required"] = []string{"verdict", "findings", "sources"}
	failed := map[string]any{"type": "object", "properties": map[string]any{"error": map[string]any{"type": "string"}}, "required": []string{"error"}}
	return map[string]any{
		"$schema": "https://json-schema.org/draft/2020-12/schema", "title": s.Title, "description": s.About, "type": "object",
		"properties": map[string]any{
			"format": map[string]any{"const": s.Format()},
			"items":  map[string]any{"type": "array", "items": map[string]any{"anyOf": []any{item, failed}}},
		},
		"required": []string{"format", "items"},
	}, nil
}

// shape is the schema of one value; nil for one that is not known.
func shape(value any) map[string]any {
	switch v := value.(type) {
	case map[string]any:
		properties := map[string]any{}
		for key, x := range v {
			properties[key] = shape(x)
		}
		return map[string]any{"type": []string{"null", "object"}, "properties": properties}
	case []any:
		var items map[string]any
		for _, x := range v {
			items = merged(items, shape(x))
		}
		out := map[string]any{"type": []string{"array", "null"}}
		if items != nil {
			out["items"] = items
		}
		return out
	case float64:
		return map[string]any{"type": []string{"null", "number"}}
	case string:
		return map[string]any{"type": []string{"null", "string"}}
	case bool:
		return map[string]any{"type": []string{"boolean", "null"}}
	}
	return map[string]any{}
}

// merged is a schema that both values keep to.
func merged(a, b map[string]any) map[string]any {
	if len(a) == 0 {
		return b
	}
	for key, x := range b {
		have, known := a[key]
		switch x := x.(type) {
		case []string:
			types, _ := have.([]string)
			a[key] = slices.Compact(slices.Sorted(slices.Values(slices.Concat(types, x))))
		case map[string]any:
			if old, ok := have.(map[string]any); known && ok {
				x = merged(old, x)
			}
			a[key] = x
		}
	}
	return a
}

// example are the values of an example: words, quoted or not, a flag with its value
// unless it is a word itself, the rest for the leading field.
func (s Sheet) example(line string) map[string]string {
	values, leading := map[string]string{}, []string{}
	words := quoted(line)
	for i := 1; i < len(words); i++ {
		name, isFlag := strings.CutPrefix(words[i], "--")
		at := slices.IndexFunc(s.Fields, func(f Field) bool { return f.Flags && slices.Contains(f.Choices(), name) })
		switch field := s.Field(name); {
		case !isFlag:
			leading = append(leading, words[i])
		case at >= 0:
			values[s.Fields[at].Name] = name
		case field != nil && field.Kind == YesNo:
			values[name] = "yes"
		case i+1 < len(words):
			i++
			if have := values[name]; have != "" { // a list has its flag once for each
				words[i] = have + "; " + words[i]
			}
			values[name] = words[i]
		}
	}
	if text := strings.Join(leading, " "); text != "" {
		values[s.Argument(text)] = text
	}
	return values
}

// quoted are the words of a line; those in single quotes are one.
func quoted(line string) (words []string) {
	for i, part := range strings.Split(line, "'") {
		if i%2 == 1 {
			words = append(words, part)
			continue
		}
		words = append(words, strings.Fields(part)...)
	}
	return words
}
