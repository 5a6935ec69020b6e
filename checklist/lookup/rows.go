package lookup

import (
	"fmt"
	"strconv"

	"fettle/threads/quantity"
)

// The rows of one quantity are made in one place, so that its unit, its
// rounding and the ending of its key are the same on every sheet.

func lengthRow(key, label string, l quantity.Length) Row {
	return Row{Key: key + "_mm", Label: label, Value: float64(l), Text: l.Round().String()}
}

// hundredths prints a length to a hundredth of a millimetre, for what is cut or filed.
func hundredths(key, label string, l quantity.Length) Row {
	return Row{Key: key + "_mm", Label: label, Value: float64(l), Text: fixed(float64(l), 2) + " mm"}
}

// tenths prints a length to a tenth of a millimetre, for what is marked out with a
// rule and dividers.
func tenths(key, label string, l quantity.Length) Row {
	return Row{Key: key + "_mm", Label: label, Value: float64(l), Text: fixed(float64(l), 1) + " mm"}
}

func pressureRow(key, label string, p quantity.Pressure) Row {
	return Row{Key: key + "_bar", Label: label, Value: float64(p), Text: quantity.BarScale.Both(p)}
}

// scale is that of the gauge in hand: the one that the pressure was typed in.
func (f *form) scale() quantity.PressureScale { return quantity.ScaleOf(f.text("pressure")) }

// shown is pressureRow on the scale of the gauge in hand, for what is read on it.
func (f *form) shown(key, label string, p quantity.Pressure) Row {
	return Row{Key: key + "_bar", Label: label, Value: float64(p), Text: f.scale().Both(p)}
}

func temperatureRow(key, label string, t quantity.Temperature) Row {
	return Row{Key: key + "_c", Label: label, Value: float64(t), Text: fixed(float64(t), 1) + " °C (" + fixed(t.F(), 0) + " °F)"}
}

func volumeRow(key, label string, v quantity.Volume) Row {
	return Row{Key: key + "_ml", Label: label, Value: float64(v), Text: v.String()}
}

func angleRow(key, label string, a quantity.Angle) Row {
	return Row{Key: key + "_deg", Label: label, Value: float64(a), Text: a.String()}
}

func percentRow(key, label string, v float64) Row {
	return Row{Key: key + "_percent", Label: label, Value: v, Text: fixed(v, 1) + " %"}
}

// figureRow is a figure in a unit of its own; the key names the unit.
func figureRow(key, label string, v float64, places int, unit string) Row {
	text := fixed(v, places)
	if unit != "" {
		text += " " + unit
	}
	return Row{Key: key, Label: label, Value: v, Text: text}
}

// smallRow is a figure that may be very small: three significant figures, down
// to a thousandth.
func smallRow(key, label string, v float64, unit string) Row {
	text := fmt.Sprintf("%.3g", v)
	if v != 0 && v < 0.001 {
		text = "under 0.001"
	}
	return Row{Key: key, Label: label, Value: v, Text: text + " " + unit}
}

func countRow(key, label string, n int) Row {
	return Row{Key: key, Label: label, Value: n, Text: strconv.Itoa(n)}
}

func wordRow(key, label, text string) Row {
	return Row{Key: key, Label: label, Value: text, Text: text}
}

func yesRow(key, label string, is bool) Row {
	text := "no"
	if is {
		text = "yes"
	}
	return Row{Key: key, Label: label, Value: is, Text: text}
}

// fixed prints a figure to so many decimals, without a minus sign before zero.
func fixed(v float64, places int) string {
	s := strconv.FormatFloat(v, 'f', places, 64)
	if f, _ := strconv.ParseFloat(s, 64); f == 0 {
		s = strconv.FormatFloat(0, 'f', places, 64)
	}
	return s
}

// data is a figure or word for programs only.
func data(key string, value any) Row { return Row{Key: key, Value: value} }

// mm is a length for programs only; some is one that nought stands for not known.
func mm(key string, l quantity.Length) Row { return data(key, l.MM()) }

func some(key string, l quantity.Length) Row {
	if l == 0 {
		return data(key, nil)
	}
	return mm(key, l)
}

// said is a word or figure for people only.
func said(label, text string) Row { return Row{Label: label, Text: text} }

// quiet are the rows that programs read, for programs only.
func (o Rows) quiet() (out Rows) {
	for _, r := range o {
		if r.Key != "" {
			out = append(out, data(r.Key, r.Value))
		}
	}
	return out
}
