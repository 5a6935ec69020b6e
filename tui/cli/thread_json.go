package cli

import (
	"io"

	"fettle/threads"
	"fettle/threads/quantity"
)

type threadJSON struct {
	Designation   string          `json:"designation"`
	LeftHand      bool            `json:"left_hand,omitempty"`
	Series        string          `json:"series"`
	Form          string          `json:"form"`
	Major         float64         `json:"major_mm"`
	Pitch         float64         `json:"pitch_mm"`
	TPI           *float64        `json:"tpi"`
	PitchDiameter float64         `json:"pitch_diameter_mm"`
	MinorInternal float64         `json:"minor_internal_mm"`
	MinorExternal float64         `json:"minor_external_mm"`
	StressArea    float64         `json:"stress_area_mm2"`
	Lead          float64         `json:"lead_mm"`
	Helix         float64         `json:"helix_deg"`
	GaugePlane    *gaugePlaneJSON `json:"gauge_plane,omitempty"`
	Basis         string          `json:"engagement_basis"`
	TapDrill      *tapDrillJSON   `json:"tap_drill"`  // null for an external taper thread
	TapDrills     []tapDrillJSON  `json:"tap_drills"` // smallest first
	OwnTap        *bool           `json:"own_tap,omitempty"`
	Clearance     clearanceJSON   `json:"clearance"`
	Heads         []headJSON      `json:"heads"`
	Nuts          []nutJSON       `json:"nuts"`
	Washer        *washerJSON     `json:"washer,omitempty"`
	Spanner       *float64        `json:"spanner_mm"`
	Spanners      []spannerJSON   `json:"spanners"`
	Limits        *limitsJSON     `json:"limits,omitempty"`
	Torque        *torqueOfJSON   `json:"torque,omitempty"`
	Confusable    []string        `json:"confusable_with"`
	Sources       []string        `json:"sources"`
}

type gaugePlaneJSON struct {
	Taper     float64 `json:"taper"`
	Length    float64 `json:"length_mm"`
	Tolerance float64 `json:"tolerance_mm"`
	Turns     float64 `json:"tolerance_turns"`
	Diameter  float64 `json:"diameter_tolerance_mm"`
	Useful    float64 `json:"useful_length_mm"`
	Source    string  `json:"source"`
}

type tapDrillJSON struct {
	Drill       string  `json:"drill"`
	Diameter    float64 `json:"diameter_mm"`
	Engagement  float64 `json:"engagement_percent"`
	Effect      string  `json:"effect"`
	Recommended bool    `json:"recommended,omitempty"`
	Source      string  `json:"source,omitempty"`
}

type clearanceJSON struct {
	Fine   float64 `json:"fine_mm"`
	Medium float64 `json:"medium_mm"`
	Coarse float64 `json:"coarse_mm"`
	Source string  `json:"source"`
}

type headJSON struct {
	Kind         string   `json:"kind"`
	Standard     string   `json:"standard"`
	Old          bool     `json:"old,omitempty"`
	HeadDiameter *float64 `json:"head_diameter_mm,omitempty"`
	Height       *float64 `json:"height_mm,omitempty"`
	AcrossFlats  *float64 `json:"across_flats_mm,omitempty"`
	Key          *float64 `json:"key_mm,omitempty"`
	Countersink  *float64 `json:"countersink_diameter_mm,omitempty"`
	Angle        *float64 `json:"angle_deg,omitempty"`
	// Of the countersink over the medium clearance hole.
	SinkDepth  *float64 `json:"countersink_depth_mm,omitempty"`
	LeastPlate *float64 `json:"least_plate_mm,omitempty"`
}

type nutJSON struct {
	Kind          string  `json:"kind"`
	Standard      string  `json:"standard"`
	Old           bool    `json:"old,omitempty"`
	AcrossFlats   float64 `json:"across_flats_mm"`
	AcrossCorners float64 `json:"across_corners_mm"`
	Thickness     float64 `json:"thickness_mm"`
}

type washerJSON struct {
	Standard  string  `json:"standard"`
	Bore      float64 `json:"bore_mm"`
	Outside   float64 `json:"outside_mm"`
	Thickness float64 `json:"thickness_mm"`
}

type spannerJSON struct {
	Size   float64 `json:"size_mm"`
	Mark   string  `json:"mark"`
	Old    bool    `json:"old,omitempty"`
	Own    bool    `json:"own,omitempty"`
	Source string  `json:"source"`
}

type limitsJSON struct {
	External *externalJSON `json:"external"` // null for an Rp hole, which has no screw of its own
	Internal *internalJSON `json:"internal"`
	Source   string        `json:"source"`
}

type externalJSON struct {
	Class    string   `json:"class"`
	MajorMax float64  `json:"major_max_mm"`
	MajorMin float64  `json:"major_min_mm"`
	PitchMax float64  `json:"pitch_diameter_max_mm"`
	PitchMin float64  `json:"pitch_diameter_min_mm"`
	MinorMax *float64 `json:"minor_max_mm,omitempty"`
	MinorMin *float64 `json:"minor_min_mm,omitempty"`
}

type internalJSON struct {
	Class    string  `json:"class"`
	MinorMin float64 `json:"minor_min_mm"`
	MinorMax float64 `json:"minor_max_mm"`
	PitchMin float64 `json:"pitch_diameter_min_mm"`
	PitchMax float64 `json:"pitch_diameter_max_mm"`
}

type torqueOfJSON struct {
	Grade    string  `json:"grade"`
	Hand     float64 `json:"hand_torque_nm"` // 0.6 of yield; Torque is 0.9, for a torque tool
	Torque   float64 `json:"torque_nm"`
	Preload  float64 `json:"preload_kn"`
	Friction float64 `json:"friction"`
}

// some gives the figure of a length, or nothing where it is 0 and so unknown.
func some(l quantity.Length) *float64 {
	if l == 0 {
		return nil
	}
	v := figure(l.MM())
	return &v
}

func mmFigure(l quantity.Length) float64 { return figure(l.MM()) }

// writeJSON prints one object for one thread and an array for several.
func (q threadQuery) writeJSON(w io.Writer, list []handed) error {
	out := make([]threadJSON, len(list))
	for i, t := range list {
		var err error
		if out[i], err = q.json(t.thread); err != nil {
			return usage(err)
		}
		out[i].LeftHand = t.left
	}
	if len(out) == 1 {
		return writeJSON(w, out[0])
	}
	return writeJSON(w, out)
}

func (q threadQuery) json(t threads.Thread) (threadJSON, error) {
	set, target := q.workshop.Stock(), q.target(t)
	sources := sourceList(t.Sources())
	out := threadJSON{
		Designation: t.String(), Series: string(t.Series), Form: t.Form.Name(),
		Major: mmFigure(t.Major), Pitch: mmFigure(t.Pitch),
		PitchDiameter: mmFigure(t.PitchDiameter()), MinorInternal: mmFigure(t.MinorInternal()), MinorExternal: mmFigure(t.MinorExternal()),
		StressArea: figure(t.StressArea().MM2()),
		Lead:       mmFigure(t.Lead()), Helix: figure(t.HelixAngle().Degrees()),
		Basis:      t.EngagementBasis(),
		TapDrills:  []tapDrillJSON{},
		Heads:      []headJSON{},
		Nuts:       []nutJSON{},
		Spanners:   []spannerJSON{},
		Confusable: []string{},
	}
	if t.TPI != 0 {
		out.TPI = &t.TPI
	}
	if g, ok := t.GaugePlane(); ok {
		out.GaugePlane = &gaugePlaneJSON{figure(t.Taper()), mmFigure(g.Length), mmFigure(g.Tolerance), figure(g.Turns), mmFigure(g.Diameter), mmFigure(g.Useful), g.Source}
		sources.add(g.Source)
	}
	if t.Tapped() {
		best := drillFigures(t.TapDrill(set, target))
		out.TapDrill = &best
		for _, d := range t.TapDrills(set, target) {
			out.TapDrills = append(out.TapDrills, drillFigures(d))
		}
		sources.add(best.Source)
	}
	if has, known := q.workshop.Tap(t); known {
		out.OwnTap = &has
	}
	c := t.Clearance()
	out.Clearance = clearanceJSON{mmFigure(c.Fine), mmFigure(c.Medium), mmFigure(c.Coarse), c.Source}
	sources.add(c.Source)
	for _, h := range t.Heads() {
		out.Heads = append(out.Heads, headFigures(h, c.Medium))
		sources.add(h.Standard)
	}
	for _, n := range t.Nuts() {
		out.Nuts = append(out.Nuts, nutJSON{string(n.Kind), n.Standard, n.Old, mmFigure(n.AcrossFlats), mmFigure(n.AcrossCorners), mmFigure(n.Thickness)})
		sources.add(n.Standard)
	}
	if w, ok := t.Washer(); ok {
		out.Washer = &washerJSON{w.Standard, mmFigure(w.Bore), mmFigure(w.Outside), mmFigure(w.Thickness)}
		sources.add(w.Standard)
	}
	for _, s := range t.Spanners() {
		_, own := q.workshop.Spanner(s.Size)
		out.Spanners = append(out.Spanners, spannerJSON{mmFigure(s.Size), s.Mark, s.Old, own, s.Source})
	}
	if s, source, ok := t.Spanner(); ok {
		out.Spanner = some(s)
		sources.add(source)
	}
	if limits, ok := t.Limits(); ok {
		e, i := limits.External, limits.Internal
		var screw *externalJSON
		if e.Class != "" {
			screw = &externalJSON{e.Class, mmFigure(e.MajorMax), mmFigure(e.MajorMin), mmFigure(e.PitchMax), mmFigure(e.PitchMin), some(e.MinorMax), some(e.MinorMin)}
		}
		var hole *internalJSON
		if i.MinorMax > 0 {
			hole = &internalJSON{i.Class, mmFigure(i.MinorMin), mmFigure(i.MinorMax), mmFigure(i.PitchMin), mmFigure(i.PitchMax)}
		}
		out.Limits = &limitsJSON{screw, hole, limits.Source}
		sources.add(limits.Source)
	}
	for _, c := range t.Confusables() {
		out.Confusable = append(out.Confusable, c.With.String())
	}
	if !q.grade.IsZero() {
		got, err := q.torque(t)
		if err != nil {
			return out, err
		}
		out.Torque = &torqueOfJSON{q.grade.String(), figure(got.HandTorque.NM()), figure(got.Torque.NM()), figure(got.Preload.KN()), figure(got.Friction.Nominal)}
		for _, s := range got.Sources {
			sources.add(s)
		}
	}
	out.Sources = sources
	return out, nil
}

func drillFigures(d threads.TapDrill) tapDrillJSON {
	return tapDrillJSON{d.Drill.Name, mmFigure(d.Diameter), figure(d.EngagementPercent), d.Effect, d.Recommended, d.Source}
}

func headFigures(h threads.Head, hole quantity.Length) headJSON {
	j := headJSON{
		Kind: string(h.Kind), Standard: h.Standard, Old: h.Old,
		HeadDiameter: some(h.HeadDiameter), Height: some(h.Height), AcrossFlats: some(h.AcrossFlats), Key: some(h.Key),
		Countersink: some(h.CountersinkDiameter), Angle: some(quantity.Length(h.CountersinkAngle)),
	}
	if sink, err := h.Countersink(hole); err == nil {
		j.SinkDepth, j.LeastPlate = some(sink.Depth), some(sink.LeastPlate)
	}
	return j
}

// sourceList is a list of sources without doubles.
type sourceList []string

func (s *sourceList) add(source string) {
	for _, have := range *s {
		if have == source {
			return
		}
	}
	*s = append(*s, source)
}
