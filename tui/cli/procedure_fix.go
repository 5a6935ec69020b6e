package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"fettle/checklist/disk"
	"fettle/checklist/source"
)

// fixFile writes what is certain into a procedure file: a new file takes the place of
// the old one in one move, and the old one is kept beside it, with a ~ behind its name.
// It answers the text as it is now; nil where nothing was put right.
func fixFile(env Env, name string, src []byte, found source.Diagnostics) ([]byte, error) {
	fixed, n := found.Fixed(string(src))
	if n == 0 {
		return nil, nil
	}
	dir, base := filepath.Split(name)
	if dir == "" {
		dir = "."
	}
	opener := disk.Opener{}.In(dir)
	info, err := opener.Lstat(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, usage(fmt.Errorf("%s is bundled and cannot be changed; write it into a file first", name))
	}
	if err == nil {
		err = disk.CheckFile(name, info.Mode())
	}
	if err != nil {
		return nil, unreadable(plainPathError(err))
	}
	kept, fresh := filepath.Join(dir, base+"~"), filepath.Join(dir, "."+base+".new")
	for _, other := range [...]string{kept, fresh} {
		if info, err := opener.Lstat(other); err == nil {
			if err := disk.CheckFile(other, info.Mode()); err != nil {
				return nil, unreadable(err)
			}
		}
	}
	for _, w := range [...]struct {
		name string
		text []byte
	}{{kept, src}, {fresh, []byte(fixed)}} {
		if err := writeNew(w.name, w.text, true); err != nil {
			return nil, err
		}
	}
	if err := opener.Rename(fresh, name); err != nil {
		return nil, unreadable(plainPathError(err))
	}
	fmt.Fprintf(env.Stderr, "%s: %d put right; as it was: %s\n", name, n, kept)
	return []byte(fixed), nil
}
