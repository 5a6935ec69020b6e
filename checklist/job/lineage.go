package job

import "slices"

// lineage tells which entry was made by somebody who had seen which other. A
// clock cannot tell, and neither can the counter n: of two entries made apart one
// has the higher n and has seen nothing of the other.
//
// An entry names what was new to its device: prev is the device's own entry
// before, met are the newest entries of others that it had not seen until then.
// From these every entry's past follows. What cannot be followed (a line that is
// lost, a device's copy that was cloned) counts as not seen: two entries that may
// have been made apart are treated as apart.
type lineage struct {
	at []spot // by the place of an entry in the job's order
	by map[string]int
}

// spot is where an entry stands: in which chain of one device's entries, how far
// along, and how far along the others that its author had seen.
type spot struct {
	chain, pos int32
	parent     int32   // place of the device's own entry before; -1 for none
	known      []int32 // by chain; shared between entries that saw nothing new
}

// maxChains bounds what a hostile folder can make this cost. Entries of further
// chains have seen nothing and were seen by nobody.
const maxChains = 200

// lineOf follows the entries, which stand in the job's order.
func lineOf(entries []folded) *lineage {
	l := &lineage{at: make([]spot, len(entries)), by: namedByOthers(entries)}
	ends := map[string][]int{} // by device: the last entry of each of its chains
	var sums map[string]int
	chains := int32(0)
	for i := range entries {
		e := &entries[i]
		own := ends[e.Device()]
		k := slices.IndexFunc(own, func(at int) bool { return entries[at].Sum == e.Prev })
		parent := -1
		if k < 0 && e.Prev != "" { // a device that was cloned goes on from further back
			if sums == nil {
				sums = bySum(entries)
			}
			if at, ok := sums[e.Prev]; ok && at < i {
				parent = at
			} else {
				k = below(entries, own, e)
			}
		}
		switch {
		case k >= 0 && l.at[own[k]].chain >= 0:
			prev := l.at[own[k]]
			l.at[i] = spot{prev.chain, prev.pos + 1, int32(own[k]), prev.known}
			own[k] = i
		case chains < maxChains:
			l.at[i] = spot{chain: chains, pos: 1, parent: int32(parent)}
			if parent >= 0 && l.at[parent].chain >= 0 {
				l.at[i].known = l.join(nil, parent)
			}
			chains++
			ends[e.Device()] = append(own, i)
		default:
			l.at[i] = spot{chain: -1, parent: -1}
		}
		if l.at[i].chain >= 0 {
			l.meet(i, e.Met)
		}
		if _, wanted := l.by[e.ID]; wanted {
			l.by[e.ID] = i
		}
	}
	return l
}

// namedByOthers are the ids that some entry had met; their places come later.
func namedByOthers(entries []folded) map[string]int {
	names := map[string]int{}
	for i := range entries {
		for _, id := range entries[i].Met {
			names[id] = -1
		}
	}
	return names
}

func bySum(entries []folded) map[string]int {
	sums := make(map[string]int, len(entries))
	for i := range entries {
		sums[entries[i].Sum] = i
	}
	return sums
}

// below is the chain of a device that ends in the highest number below that of an
// entry whose predecessor is lost: a device has seen what it wrote itself. It is -1
// for none.
func below(entries []folded, ends []int, e *folded) int {
	best := -1
	for k, i := range ends {
		if entries[i].Seq < e.Seq && (best < 0 || entries[i].Seq > entries[ends[best]].Seq) {
			best = k
		}
	}
	return best
}

// meet adds to what an entry's author had seen.
func (l *lineage) meet(i int, met []string) {
	own := true // the list is shared until something is new
	for _, id := range met {
		j, ok := l.by[id]
		if !ok || j < 0 || j == i || l.at[j].chain < 0 || l.saw(i, j) {
			continue
		}
		if own {
			l.at[i].known, own = slices.Clone(l.at[i].known), false
		}
		l.at[i].known = l.join(l.at[i].known, j)
	}
}

// join is what is known by known and by whoever has seen entry j.
func (l *lineage) join(known []int32, j int) []int32 {
	at := l.at[j]
	grow := func(chain, pos int32) {
		for int(chain) >= len(known) {
			known = append(known, 0)
		}
		known[chain] = max(known[chain], pos)
	}
	for chain, pos := range at.known {
		grow(int32(chain), pos)
	}
	grow(at.chain, at.pos)
	return known
}

// saw says whether the author of the entry at place i had seen the one at j.
func (l *lineage) saw(i, j int) bool {
	a, b := l.at[i], l.at[j]
	switch {
	case i == j || a.chain < 0 || b.chain < 0:
		return false
	case a.chain == b.chain:
		return b.pos < a.pos
	}
	return int(b.chain) < len(a.known) && a.known[b.chain] >= b.pos
}

// heads are the newest entries that own, the last of a device, had not seen and
// that no other of them had: what the next entry of that device meets. own is -1
// for a device that has written nothing yet.
func (l *lineage) heads(own int) []int {
	ends := map[int32]int{}
	for i := range l.at {
		if l.at[i].chain >= 0 {
			ends[l.at[i].chain] = i
		}
	}
	var list []int
	for _, i := range ends {
		if i == own || own >= 0 && l.saw(own, i) {
			continue
		}
		list = append(list, i)
	}
	slices.Sort(list)
	return slices.DeleteFunc(slices.Clone(list), func(i int) bool {
		return slices.ContainsFunc(list, func(k int) bool { return l.saw(k, i) })
	})
}
