package paper

import (
	"fettle/checklist"
	"fettle/checklist/source"
	"slices"
)

// Schema is the JSON Schema (draft 2020-12) of the format, for editors that
// complete and check TOML with one. It knows keys, kinds and words; what a text
// means only Read knows. Marshal it to JSON.
func Schema() map[string]any {
	s := tableSchema("procedure")
	s["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	s["title"] = "fettle procedure, format 2"
	defs := map[string]any{}
	for _, table := range [...]string{"before", "entry", "setting", "fastener", "seal", "test", "figure", "stage", "step", "call", "reading", "accept"} {
		defs[table] = tableSchema(table)
	}
	s["$defs"] = defs
	return s
}

func tableSchema(table string) map[string]any {
	properties := map[string]any{}
	var needed []string
	var conditions []any
	for _, k := range checklist.Keys(table) {
		p := keySchema(table, k)
		p["description"] = k.About
		properties[k.Name] = p
		if k.Needed {
			needed = append(needed, k.Name)
		}
		if len(k.Kinds) > 0 && len(k.Kinds) < len(checklist.SealKinds()) {
			conditions = append(conditions, onlyWith(k))
		}
	}
	s := map[string]any{"type": "object", "properties": properties, "additionalProperties": false}
	if len(needed) > 0 {
		s["required"] = needed
	}
	switch table {
	case "setting", "reading":
		conditions = append(conditions, map[string]any{
			"if":   constant("kind", "choice"),
			"then": map[string]any{"required": []string{"choices"}},
		})
	case "step":
		conditions = append(conditions, map[string]any{
			"if":   constant("kind", "wait"),
			"then": map[string]any{"required": []string{"wait"}},
		})
	}
	if len(conditions) > 0 {
		s["allOf"] = conditions
	}
	return s
}

// constant is the schema of a table whose key has a value.
func constant(key, value string) map[string]any {
	return map[string]any{
		"properties": map[string]any{key: map[string]any{"const": value}},
		"required":   []string{key},
	}
}

// onlyWith says that a key stands with some kinds only.
func onlyWith(k checklist.Key) map[string]any {
	return map[string]any{
		"if":   map[string]any{"required": []string{k.Name}},
		"then": map[string]any{"properties": map[string]any{"kind": map[string]any{"enum": k.Kinds}}},
	}
}

func keySchema(table string, k checklist.Key) map[string]any {
	line := func() map[string]any {
		return map[string]any{"type": "string", "maxLength": source.MaxLine, "pattern": `^[^\r\n]*$`}
	}
	text := func() map[string]any { return map[string]any{"type": "string", "maxLength": source.MaxText} }
	name := func() map[string]any {
		return map[string]any{"type": "string", "pattern": "^[A-Za-z0-9_-]{1,60}$"}
	}
	filled := func(s map[string]any) map[string]any {
		if k.Needed {
			s["minLength"] = 1
		}
		return s
	}
	switch k.Form {
	case checklist.FormFormat:
		return map[string]any{"const": checklist.Format}
	case checklist.FormText:
		return filled(text())
	case checklist.FormLine:
		return filled(line())
	case checklist.FormName:
		if table == "procedure" || table == "call" {
			return map[string]any{"type": "string", "pattern": "^[a-z0-9_-]{1,60}$"}
		}
		if table == "accept" {
			return map[string]any{"enum": acceptableRules()}
		}
		return name()
	case checklist.FormWord:
		return map[string]any{"enum": slices.Clone(k.Words)}
	case checklist.FormScalar:
		s := map[string]any{"type": []string{"string", "number", "boolean"}, "maxLength": source.MaxLine}
		if len(k.Words) > 0 {
			s["examples"] = k.Words
		}
		return s
	case checklist.FormNames:
		return listOf(name())
	case checklist.FormFigures:
		return listOf(map[string]any{"type": "string", "pattern": `^[A-Za-z0-9_-]{1,60}\.[a-z_]+$`})
	case checklist.FormLines:
		entry := text()
		entry["minLength"] = 1
		return listOf(entry)
	case checklist.FormEntries:
		entry := text()
		entry["minLength"] = 1
		return listOf(map[string]any{"anyOf": []any{entry, map[string]any{"$ref": "#/$defs/entry"}}})
	case checklist.FormTable:
		return map[string]any{"$ref": "#/$defs/" + k.Table}
	case checklist.FormTables:
		ref := map[string]any{"$ref": "#/$defs/" + k.Table}
		list := map[string]any{"type": "array", "items": ref}
		if k.Needed {
			list["minItems"] = 1
		}
		return list
	case checklist.FormNamed:
		return map[string]any{
			"type": "object", "propertyNames": map[string]any{"pattern": "^[A-Za-z0-9_-]{1,60}$"},
			"additionalProperties": map[string]any{"$ref": "#/$defs/" + k.Table},
		}
	case checklist.FormValues:
		return map[string]any{
			"type": "object", "propertyNames": map[string]any{"pattern": "^[A-Za-z0-9_-]{1,60}$"},
			"additionalProperties": map[string]any{"type": []string{"string", "number", "boolean"}, "maxLength": source.MaxLine},
		}
	case checklist.FormWhen:
		list := listOf(map[string]any{"type": "string", "pattern": `^\s*[A-Za-z0-9_-]+(\.[a-z_]+)?\s*(!=|<=|>=|=|<|>)\s*[^=\s]`})
		list["minItems"] = 1
		return list
	}
	return map[string]any{}
}

// listOf is a list of such entries, of the length that is read.
func listOf(entry map[string]any) map[string]any {
	return map[string]any{"type": "array", "maxItems": source.MaxList, "items": entry}
}

// acceptableRules lists the rules that a file may answer.
func acceptableRules() []string {
	var ids []string
	for _, r := range checklist.Rules() {
		if r.Acceptable {
			ids = append(ids, r.ID)
		}
	}
	slices.Sort(ids)
	return ids
}
