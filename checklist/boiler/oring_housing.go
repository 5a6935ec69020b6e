package boiler

import (
	"math"

	"fettle/threads/quantity"
)

// Housing is one row of a published table of O-ring grooves.
type Housing struct {
	Section            quantity.Length
	DepthMin, DepthMax quantity.Length
	WidthMin, WidthMax quantity.Length
	// Radius at the bottom of the groove.
	RadiusMin, RadiusMax quantity.Length
	Source               string
}

// metricHousing is one row of the trade's metric table. Depths are without
// tolerance for radial grooves, +0.1 for face grooves; widths +0.25 radial,
// +0.2 face; radius ±0.2.
type metricHousing struct {
	section, sliding, static, width, face, faceWidth, radius float64
}

// A trade table of housings (UK, metric), for sections of 0.5 to 7 mm; a
// sliding depth of 0 means that the table gives none.
var metricHousings = [...]metricHousing{
	{0.50, 0, 0.35, 0.80, 0.35, 0.80, 0.20},
	{0.74, 0, 0.50, 1.00, 0.50, 1.00, 0.20},
	{1.00, 0, 0.70, 1.40, 0.70, 1.40, 0.20},
	{1.02, 0, 0.70, 1.40, 0.70, 1.40, 0.20},
	{1.20, 0, 0.85, 1.70, 0.85, 1.70, 0.20},
	{1.25, 0, 0.90, 1.70, 0.90, 1.80, 0.20},
	{1.27, 0, 0.90, 1.70, 0.90, 1.80, 0.20},
	{1.30, 0, 0.95, 1.80, 0.95, 1.80, 0.20},
	{1.42, 0, 1.05, 1.90, 1.05, 2.00, 0.30},
	{1.50, 1.25, 1.10, 2.00, 1.10, 2.10, 0.30},
	{1.52, 1.25, 1.10, 2.00, 1.10, 2.10, 0.30},
	{1.60, 1.30, 1.20, 2.10, 1.20, 2.20, 0.30},
	{1.63, 1.30, 1.20, 2.10, 1.20, 2.20, 0.30},
	{1.78, 1.45, 1.30, 2.40, 1.30, 2.60, 0.30},
	{1.80, 1.45, 1.30, 2.40, 1.30, 2.60, 0.30},
	{1.83, 1.50, 1.35, 2.50, 1.35, 2.60, 0.30},
	{1.90, 1.55, 1.40, 2.60, 1.40, 2.70, 0.30},
	{1.98, 1.65, 1.50, 2.70, 1.50, 2.80, 0.30},
	{2.00, 1.65, 1.50, 2.70, 1.50, 2.80, 0.30},
	{2.08, 1.75, 1.55, 2.80, 1.55, 2.90, 0.30},
	{2.10, 1.75, 1.55, 2.80, 1.55, 2.90, 0.30},
	{2.20, 1.85, 1.60, 3.00, 1.60, 3.00, 0.30},
	{2.26, 1.90, 1.70, 3.00, 1.70, 3.10, 0.30},
	{2.30, 1.95, 1.75, 3.10, 1.75, 3.10, 0.30},
	{2.34, 1.95, 1.75, 3.10, 1.75, 3.10, 0.30},
	{2.40, 2.05, 1.80, 3.20, 1.80, 3.30, 0.30},
	{2.46, 2.10, 1.85, 3.30, 1.85, 3.40, 0.30},
	{2.50, 2.15, 1.90, 3.30, 1.90, 3.40, 0.30},
	{2.62, 2.25, 2.00, 3.60, 2.00, 3.80, 0.30},
	{2.65, 2.25, 2.00, 3.60, 2.00, 3.80, 0.30},
	{2.70, 2.30, 2.05, 3.60, 2.05, 3.80, 0.30},
	{2.80, 2.40, 2.10, 3.70, 2.10, 3.90, 0.60},
	{2.92, 2.50, 2.20, 3.90, 2.20, 4.00, 0.60},
	{2.95, 2.50, 2.20, 3.90, 2.20, 4.00, 0.60},
	{3.00, 2.60, 2.30, 4.00, 2.30, 4.00, 0.60},
	{3.10, 2.70, 2.40, 4.10, 2.40, 4.10, 0.60},
	{3.50, 3.05, 2.65, 4.60, 2.65, 4.70, 0.60},
	{3.53, 3.10, 2.70, 4.80, 2.70, 5.00, 0.60},
	{3.55, 3.10, 2.70, 4.80, 2.70, 5.00, 0.60},
	{3.60, 3.15, 2.80, 4.80, 2.80, 5.10, 0.60},
	{4.00, 3.50, 3.10, 5.20, 3.10, 5.30, 0.60},
	{4.50, 4.00, 3.50, 5.80, 3.50, 5.90, 0.60},
	{5.00, 4.40, 4.00, 6.60, 4.00, 6.70, 0.60},
	{5.30, 4.70, 4.30, 7.10, 4.30, 7.30, 0.60},
	{5.33, 4.70, 4.30, 7.10, 4.30, 7.30, 0.60},
	{5.50, 4.80, 4.50, 7.10, 4.50, 7.30, 0.60},
	{5.70, 5.00, 4.60, 7.20, 4.60, 7.40, 0.60},
	{6.00, 5.30, 4.90, 7.40, 4.90, 7.60, 0.60},
	{6.50, 5.70, 5.40, 8.00, 5.40, 8.20, 1.00},
	{6.99, 6.10, 5.80, 9.50, 5.80, 9.70, 1.00},
	{7.00, 6.10, 5.80, 9.50, 5.80, 9.70, 1.00},
}

// inchHousing is one row of the AS568 table in inches: depth and width of face
// grooves for liquids, of static radial grooves and of sliding ones without
// back-up ring. Zeros: no figure read.
type inchHousing struct {
	section               float64
	face, faceWidth       [2]float64
	static, staticWidth   [2]float64
	sliding, slidingWidth [2]float64
	radiusMin, radiusMax  float64
}

var inchHousings = [...]inchHousing{
	{0.070, [2]float64{0.050, 0.054}, [2]float64{0.101, 0.107}, [2]float64{0.050, 0.052}, [2]float64{0.093, 0.098},
		[2]float64{0.055, 0.057}, [2]float64{0.095, 0.095}, 0.005, 0.015},
	{0.103, [2]float64{0.074, 0.080}, [2]float64{0.136, 0.142}, [2]float64{0.081, 0.083}, [2]float64{0.140, 0.145},
		[2]float64{0.087, 0.090}, [2]float64{0.145, 0.145}, 0.005, 0.015},
	{0.139, [2]float64{0.101, 0.107}, [2]float64{0.177, 0.187}, [2]float64{0.111, 0.113}, [2]float64{0.187, 0.192},
		[2]float64{}, [2]float64{}, 0.010, 0.025},
	{0.210, [2]float64{0.152, 0.162}, [2]float64{0.270, 0.290}, [2]float64{0.170, 0.173}, [2]float64{0.281, 0.286},
		[2]float64{}, [2]float64{}, 0.020, 0.035},
	{0.275, [2]float64{0.201, 0.211}, [2]float64{0.342, 0.362}, [2]float64{0.226, 0.229}, [2]float64{0.375, 0.380},
		[2]float64{}, [2]float64{}, 0.020, 0.035},
}

const (
	metricHousingSource = "metric trade table of O-ring housings (UK)"
	inchHousingSource   = "trade table of AS568 glands (US)"
	inchSlidingSource   = "published groove table in inches"
)

// Housings are the rows of published groove tables for a section and a use;
// none where no table lists the section. Turning spindles have no rows.
func Housings(section quantity.Length, use RingUse) []Housing {
	var list []Housing
	for _, row := range metricRows(use) {
		if math.Abs(float64(row.Section-section)) <= sameSection {
			list = append(list, row)
			break // the next row within a hundredth of a millimetre says the same
		}
	}
	return append(list, inchRows(section, use)...)
}

// sameSection is how far apart two figures for one section may be: they are printed
// to 0.01 mm or 0.001 in.
const sameSection = 0.011 // mm

// metricRows are the rows of the metric table that have figures for a use, thinnest
// section first.
func metricRows(use RingUse) []Housing {
	var list []Housing
	for _, h := range metricHousings {
		row := Housing{
			Section:   quantity.Length(h.section),
			RadiusMin: quantity.Length(max(h.radius-0.2, 0)), RadiusMax: quantity.Length(h.radius + 0.2),
			Source: metricHousingSource,
		}
		var depth, width, depthMore, widthMore float64
		switch use {
		case FaceSeal:
			depth, width, depthMore, widthMore = h.face, h.faceWidth, 0.1, 0.2
		case RadialSeal:
			depth, width, widthMore = h.static, h.width, 0.25
		case SlidingSeal:
			depth, width, widthMore = h.sliding, h.width, 0.25
		}
		if depth == 0 {
			continue
		}
		row.DepthMin, row.DepthMax = quantity.Length(depth), quantity.Length(depth+depthMore)
		row.WidthMin, row.WidthMax = quantity.Length(width), quantity.Length(width+widthMore)
		list = append(list, row)
	}
	return list
}

// inchRows are the rows of the inch tables for a section and a use.
func inchRows(section quantity.Length, use RingUse) []Housing {
	var list []Housing
	for _, h := range inchHousings {
		if math.Abs(float64(quantity.FromInches(h.section)-section)) > sameSection {
			continue
		}
		var depth, width [2]float64
		source := inchHousingSource
		switch use {
		case FaceSeal:
			depth, width = h.face, h.faceWidth
		case RadialSeal:
			depth, width = h.static, h.staticWidth
		case SlidingSeal:
			depth, width, source = h.sliding, h.slidingWidth, inchSlidingSource
		}
		if depth[0] == 0 {
			continue
		}
		list = append(list, Housing{
			Section:  quantity.FromInches(h.section),
			DepthMin: quantity.FromInches(depth[0]), DepthMax: quantity.FromInches(depth[1]),
			WidthMin: quantity.FromInches(width[0]), WidthMax: quantity.FromInches(width[1]),
			RadiusMin: quantity.FromInches(h.radiusMin), RadiusMax: quantity.FromInches(h.radiusMax),
			Source: source,
		})
	}
	return list
}

// housingFor is the groove that leads for a section: the row of the metric table, or
// what lies between its two nearest rows; beyond its ends the first or last row in
// proportion. A turning spindle has the width of a radial groove and no depth of its
// own, so tabled is false for it; nor has an unknown use.
func housingFor(section quantity.Length, use RingUse) (h Housing, tabled bool) {
	depthUse := use
	if use == TurningSeal {
		depthUse = RadialSeal
	}
	rows := metricRows(depthUse)
	if len(rows) == 0 {
		return Housing{}, false
	}
	for i, row := range rows {
		if math.Abs(float64(row.Section-section)) <= sameSection {
			h = row
			break
		}
		if row.Section < section && i < len(rows)-1 {
			continue
		}
		if i == 0 || row.Section < section {
			h = row.times(section / row.Section)
			break
		}
		h = rows[i-1].towards(row, (section-rows[i-1].Section)/(row.Section-rows[i-1].Section))
		break
	}
	return h, use != TurningSeal
}

// times is a row in proportion, for a section beyond the table.
func (h Housing) times(k quantity.Length) Housing {
	return Housing{
		Section: h.Section * k, DepthMin: h.DepthMin * k, DepthMax: h.DepthMin*k + h.DepthMax - h.DepthMin,
		WidthMin: h.WidthMin * k, WidthMax: h.WidthMin*k + h.WidthMax - h.WidthMin,
		RadiusMin: h.RadiusMin, RadiusMax: h.RadiusMax, Source: "in proportion to the nearest row of the " + metricHousingSource,
	}
}

// towards is what lies between two rows, share of the way from the first.
func (h Housing) towards(o Housing, share quantity.Length) Housing {
	between := func(a, b quantity.Length) quantity.Length { return a + share*(b-a) }
	return Housing{
		Section: between(h.Section, o.Section), DepthMin: between(h.DepthMin, o.DepthMin), DepthMax: between(h.DepthMax, o.DepthMax),
		WidthMin: between(h.WidthMin, o.WidthMin), WidthMax: between(h.WidthMax, o.WidthMax),
		RadiusMin: between(h.RadiusMin, o.RadiusMin), RadiusMax: between(h.RadiusMax, o.RadiusMax),
		Source: "between two rows of the " + metricHousingSource,
	}
}
