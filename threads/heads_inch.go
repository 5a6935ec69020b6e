package threads

import "fettle/threads/quantity"

// asmeB1821 are the hex bolts of ASME B18.2.1 by 64ths of an inch: across flats
// in 16ths, height in 64ths. 9/16 in is from memory.
var asmeB1821 = [...]struct{ n64, flats16, height64 uint8 }{
	{16, 7, 11}, {20, 8, 14}, {24, 9, 16}, {28, 10, 19}, {32, 12, 22}, {36, 13, 24}, {40, 15, 27}, {48, 18, 32}, {56, 21, 37}, {64, 24, 43},
}

// asmeScrews are the socket and slotted heads of inch screws in inches, by screw
// number or, where that is -1, by 64ths of an inch:
//
//   - socket head cap (ASME B18.3): largest diameter, key; as high as the screw is
//     thick;
//   - flat countersunk with a hexagon socket (ASME B18.3): sharp diameter, height,
//     key;
//   - flat countersunk, slotted or cross recessed (ASME B18.6.3): sharp diameter,
//     mean real diameter, height;
//   - fillister (ASME B18.6.3): largest diameter, whole height.
//
// Read from the fastener tables of two public CAD libraries (FreeCAD_FastenersWB,
// asmeb18.3.1a, 18.3.2, 18.6.3.1a and 18.6.3.10a; cq_warehouse,
// socket_head_cap_parameters). ASME B18.3 has no No 12 and no 9/16 in.
var asmeScrews = [...]struct {
	number, n64 int
	socket      [2]float64
	flatSocket  [3]float64
	flat        [3]float64
	fillister   [2]float64
}{
	{0, 0, [2]float64{0.096, 0.050}, [3]float64{0.138, 0.044, 0.035}, [3]float64{0.112, 0.104, 0.035}, [2]float64{0.096, 0.055}},
	{1, 0, [2]float64{0.118, 1.0 / 16}, [3]float64{0.168, 0.054, 0.050}, [3]float64{0.137, 0.129, 0.043}, [2]float64{0.118, 0.066}},
	{2, 0, [2]float64{0.140, 5.0 / 64}, [3]float64{0.197, 0.064, 0.050}, [3]float64{0.162, 0.153, 0.051}, [2]float64{0.14, 0.083}},
	{3, 0, [2]float64{0.161, 5.0 / 64}, [3]float64{0.226, 0.073, 1.0 / 16}, [3]float64{0.187, 0.177, 0.059}, [2]float64{0.161, 0.095}},
	{4, 0, [2]float64{0.183, 3.0 / 32}, [3]float64{0.255, 0.083, 1.0 / 16}, [3]float64{0.212, 0.202, 0.067}, [2]float64{0.183, 0.107}},
	{5, 0, [2]float64{0.205, 3.0 / 32}, [3]float64{0.281, 0.090, 5.0 / 64}, [3]float64{0.237, 0.226, 0.075}, [2]float64{0.205, 0.12}},
	{6, 0, [2]float64{0.226, 7.0 / 64}, [3]float64{0.307, 0.097, 5.0 / 64}, [3]float64{0.262, 0.250, 0.083}, [2]float64{0.226, 0.132}},
	{8, 0, [2]float64{0.270, 9.0 / 64}, [3]float64{0.359, 0.112, 3.0 / 32}, [3]float64{0.312, 0.299, 0.100}, [2]float64{0.27, 0.156}},
	{10, 0, [2]float64{0.312, 5.0 / 32}, [3]float64{0.411, 0.127, 1.0 / 8}, [3]float64{0.362, 0.347, 0.116}, [2]float64{0.313, 0.18}},
	{12, 0, [2]float64{}, [3]float64{}, [3]float64{0.412, 0.396, 0.132}, [2]float64{0.357, 0.205}},
	{-1, 16, [2]float64{0.375, 3.0 / 16}, [3]float64{0.531, 0.161, 5.0 / 32}, [3]float64{0.477, 0.460, 0.153}, [2]float64{0.414, 0.237}},
	{-1, 20, [2]float64{0.469, 1.0 / 4}, [3]float64{0.656, 0.198, 3.0 / 16}, [3]float64{0.597, 0.577, 0.191}, [2]float64{0.518, 0.295}},
	{-1, 24, [2]float64{0.562, 5.0 / 16}, [3]float64{0.781, 0.234, 7.0 / 32}, [3]float64{0.717, 0.694, 0.230}, [2]float64{0.622, 0.355}},
	{-1, 28, [2]float64{0.656, 3.0 / 8}, [3]float64{0.844, 0.234, 1.0 / 4}, [3]float64{0.760, 0.738, 0.223}, [2]float64{0.625, 0.368}},
	{-1, 32, [2]float64{0.750, 3.0 / 8}, [3]float64{0.938, 0.251, 5.0 / 16}, [3]float64{0.815, 0.790, 0.223}, [2]float64{0.75, 0.412}},
	{-1, 36, [2]float64{}, [3]float64{}, [3]float64{0.932, 0.905, 0.260}, [2]float64{0.812, 0.466}},
	{-1, 40, [2]float64{0.938, 1.0 / 2}, [3]float64{1.188, 0.324, 3.0 / 8}, [3]float64{1.050, 1.020, 0.298}, [2]float64{0.875, 0.521}},
	{-1, 48, [2]float64{1.125, 5.0 / 8}, [3]float64{1.438, 0.396, 1.0 / 2}, [3]float64{1.285, 1.250, 0.372}, [2]float64{1, 0.612}},
	{-1, 56, [2]float64{1.312, 3.0 / 4}, [3]float64{1.688, 0.468, 9.0 / 16}, [3]float64{}, [2]float64{}},
	{-1, 64, [2]float64{1.500, 3.0 / 4}, [3]float64{1.938, 0.540, 5.0 / 8}, [3]float64{}, [2]float64{}},
}

// asmeB1822 are the hex and the jam nuts of ASME B18.2.2 in 64ths of an inch: size,
// across flats, nominal thickness of each.
var asmeB1822 = [...]struct{ n64, flats, nut, jam uint8 }{
	{16, 28, 14, 10}, {20, 32, 17, 12}, {24, 36, 21, 14}, {28, 44, 24, 16}, {32, 48, 28, 20}, {36, 56, 31, 20}, {40, 60, 35, 24}, {48, 72, 41, 27}, {56, 84, 48, 31}, {64, 96, 55, 35},
}

// machineScrewNuts are the hex machine screw nuts of ASME B18.2.2: screw number,
// across flats in 64ths, largest thickness in thousandths of an inch. Fastener
// makers' tables.
var machineScrewNuts = [...]struct{ number, flats64, thickness uint8 }{
	{0, 10, 50}, {1, 10, 50}, {2, 12, 66}, {3, 12, 66}, {4, 16, 98}, {5, 20, 114}, {6, 20, 114}, {8, 22, 130}, {10, 24, 130}, {12, 28, 161},
}

// flatAngle is the cone of American countersunk heads (ASME B18.3, B18.6.3).
const flatAngle quantity.Angle = 82

func inches64(n uint8) quantity.Length { return quantity.FromInches(float64(n) / 64) }

// isInch reports that a row of number or 64ths is the size of t.
func (t Thread) isInch(number, n64 int) bool {
	if number >= 0 {
		return isSize(float64(numberSize(number)), t.Major)
	}
	return isSize(quantity.FromInches(float64(n64)/64).MM(), t.Major)
}

// inchHeads lists the heads of a Unified screw; none for a special.
func (t Thread) inchHeads() (heads []Head) {
	if t.Series == UNSpecial {
		return nil
	}
	for _, r := range asmeB1821 {
		if inches64(r.n64) == t.Major {
			af := quantity.FromInches(float64(r.flats16) / 16)
			heads = append(heads, Head{Kind: HexHead, Standard: "ASME B18.2.1", Inch: true, HeadDiameter: corners(af), Height: inches64(r.height64), AcrossFlats: af})
		}
	}
	in := quantity.FromInches
	for _, r := range asmeScrews {
		if !t.isInch(r.number, r.n64) {
			continue
		}
		if r.socket[0] > 0 {
			heads = append(heads, Head{Kind: SocketHead, Standard: "ASME B18.3", HeadDiameter: in(r.socket[0]), Height: t.Major, Key: in(r.socket[1]), Inch: true})
		}
		if r.flat[0] > 0 {
			heads = append(heads, Head{
				Kind: CountersunkHead, Standard: "ASME B18.6.3", Inch: true, HeadDiameter: in(r.flat[1]), Height: in(r.flat[2]),
				CountersinkDiameter: in(r.flat[0]), CountersinkAngle: flatAngle,
			})
		}
		if r.flatSocket[0] > 0 {
			heads = append(heads, Head{
				Kind: CountersunkHead, Standard: "ASME B18.3 flat", HeadDiameter: in(r.flatSocket[0]), Height: in(r.flatSocket[1]),
				Key: in(r.flatSocket[2]), Inch: true, CountersinkDiameter: in(r.flatSocket[0]), CountersinkAngle: flatAngle,
			})
		}
		if r.fillister[0] > 0 {
			heads = append(heads, Head{Kind: CheeseHead, Standard: "ASME B18.6.3 fillister", Inch: true, HeadDiameter: in(r.fillister[0]), Height: in(r.fillister[1])})
		}
	}
	return heads
}

// inchNuts lists the nuts of a Unified screw; none for a special.
func (t Thread) inchNuts() (nuts []Nut) {
	if t.Series == UNSpecial {
		return nil
	}
	for _, r := range machineScrewNuts {
		if t.isInch(int(r.number), 0) {
			af := inches64(r.flats64)
			nuts = append(nuts, Nut{Kind: FullNut, Standard: "ASME B18.2.2 machine screw nut", AcrossFlats: af, AcrossCorners: corners(af), Thickness: thou(uint16(r.thickness))})
		}
	}
	for _, r := range asmeB1822 {
		if inches64(r.n64) == t.Major {
			af := inches64(r.flats)
			nuts = append(nuts,
				Nut{Kind: FullNut, Standard: "ASME B18.2.2", AcrossFlats: af, AcrossCorners: corners(af), Thickness: inches64(r.nut)},
				Nut{Kind: ThinNut, Standard: "ASME B18.2.2 jam nut", AcrossFlats: af, AcrossCorners: corners(af), Thickness: inches64(r.jam)})
		}
	}
	return nuts
}
