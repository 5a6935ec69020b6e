package checklist

// sealFigures lists the figures of one kind of seal.
func sealFigures(kind string) []figureKey {
	switch kind {
	case "packing":
		return []figureKey{
			{"section", "Packing section", "side of the square packing"},
		}
	}
	return nil
}

func (x *filler) workSeal(p *part, s *Seal) {}

// materialName is the usual name of a material: a metal, or what a seal is made of.
func materialName(raw string) (string, error) { return raw, nil }
