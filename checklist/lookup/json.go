package lookup

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
)

// MarshalJSON is an answer as a JSON object: its figures, its lists, then the
// verdict, the findings and the sources.
func (a Answer) MarshalJSON() ([]byte, error) {
	o := a.Rows
	for _, list := range a.Lists {
		if list.Key == "" {
			continue
		}
		items := make([]Rows, len(list.Items))
		for i, item := range list.Items {
			items[i] = item.Rows
		}
		o = append(o, Row{Key: list.Key, Value: items})
	}
	findings := make([]Rows, len(a.Findings))
	for i, f := range a.Findings {
		findings[i] = Rows{data("rule", f.Rule), data("severity", string(f.Severity)), data("message", f.Message), data("source", f.Source), data("danger", f.Danger)}
		if f.Compared {
			findings[i] = append(findings[i], data("limit_c", f.Limit), data("margin_k", f.Margin))
		}
	}
	verdict := a.Best
	if verdict == "" {
		verdict = a.Verdict()
	}
	return append(o, data("verdict", string(verdict)), data("findings", findings), data("sources", a.Sources)).MarshalJSON()
}

// MarshalJSON is a JSON object of the rows that programs read, in their order.
func (o Rows) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	b.WriteByte('{')
	first := true
	for _, r := range o {
		if r.Key == "" {
			continue
		}
		if !first {
			b.WriteByte(',')
		}
		first = false
		if err := enc.Encode(r.Key); err != nil {
			return nil, err
		}
		b.WriteByte(':')
		if err := enc.Encode(plain(r.Value)); err != nil {
			return nil, err
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// plain is a value as JSON has it: figures are rounded to a millionth of their unit,
// so that 3.3 is printed as 3.3 and not as its nearest binary fraction (nothing in the
// trade is measured finer), and a list of nothing is [] and not null.
func plain(value any) any {
	switch v := value.(type) {
	case func() any:
		return plain(v())
	case float64:
		return math.Round(v*1e6)/1e6 + 0 // adding it turns -0 into 0
	case []float64:
		rounded := make([]any, len(v))
		for i := range v {
			rounded[i] = plain(v[i])
		}
		return rounded
	}
	if v := reflect.ValueOf(value); v.Kind() == reflect.Slice && v.IsNil() {
		return []any{}
	}
	return value
}
