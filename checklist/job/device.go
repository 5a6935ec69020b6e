package job

import (
	"bytes"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"
	"unicode"
	"unicode/utf8"
)

// A device's private folder holds device.jsonl (who this device is and who is
// working), device.lock, and twins/: one file for every job, with a copy of
// every entry made on this device. All of it is only ever appended to.

// lockWait is how long a save waits for another window on the same device.
const lockWait = 2 * time.Second

// identity is one line of device.jsonl; of each field the last line counts.
type identity struct {
	Device string `json:"device,omitempty"`
	Person string `json:"person,omitempty"`
	// Place is the folder of a job in which this device has saved something. All
	// of these lines count.
	Place string `json:"place,omitempty"`
}

type device struct {
	files FS
	dir   string // "" where this user has no private folder
	// synced says that this process has put the names in it on the disk, and has
	// not tried to make a new file since.
	synced bool
}

var errNoStateDir = errors.New("there is no folder for this device's own copy (set FETTLE_STATE)")

func (d *device) file() string { return filepath.Join(d.dir, "device.jsonl") }

func (d *device) twin(job string) string {
	if d.dir == "" {
		return ""
	}
	return filepath.Join(d.dir, "twins", job+".jsonl")
}

// trouble words why this device's own copy cannot be written.
func (d *device) trouble(err error) string {
	if errors.Is(err, errNoStateDir) {
		return errNoStateDir.Error()
	}
	return "this device's own folder " + d.dir + " " + reason(err)
}

// lock keeps other processes on this device from saving. The lock file is here
// and not in a job's folder: there it would be carried to other devices, and
// network folders may refuse locks.
func (d *device) lock() (func() error, error) {
	if d.dir == "" {
		return nil, errNoStateDir
	}
	if err := d.files.MkdirAll(filepath.Join(d.dir, "twins"), 0o700); err != nil {
		return nil, err
	}
	return d.files.Lock(filepath.Join(d.dir, "device.lock"), lockWait)
}

// identify reads who this device is. Lines that cannot be read are passed over:
// a torn one was never relied on.
func (d *device) identify() (identity, error) {
	var id identity
	if d.dir == "" {
		return id, errNoStateDir
	}
	data, err := readPlain(d.files, d.file(), 4<<20)
	if errors.Is(err, fs.ErrNotExist) {
		return id, nil
	}
	if err != nil {
		return id, err
	}
	for _, line := range bytes.Split(data, []byte{'\n'}) {
		var said identity
		if json.Unmarshal(trimLine(line), &said) != nil {
			continue
		}
		if validDevice(said.Device) {
			id.Device = said.Device
		}
		if name, err := CheckPerson(said.Person); err == nil {
			id.Person = name
		}
	}
	return id, nil
}

// saved keeps that this device has saved something in a job's folder, so that a
// folder that goes missing is told from a name that was mistyped. It is a help
// and no record: where it cannot be kept, nothing is said.
func (d *device) saved(dir string) {
	if place, err := filepath.Abs(dir); err == nil && !d.knows(place) {
		_ = d.append(identity{Place: place})
	}
}

// knows says whether this device has saved something in that folder.
func (d *device) knows(dir string) bool {
	dir, err := filepath.Abs(dir)
	if err != nil || d.dir == "" {
		return false
	}
	data, err := readPlain(d.files, d.file(), 4<<20)
	if err != nil {
		return false
	}
	for _, line := range bytes.Split(data, []byte{'\n'}) {
		var said identity
		if json.Unmarshal(trimLine(line), &said) == nil && said.Place == dir {
			return true
		}
	}
	return false
}

func (d *device) append(said identity) error {
	line, err := json.Marshal(said)
	if err != nil {
		return err
	}
	_, err = appendLines(d.files, d.file(), false, false, d.sync, line)
	if errors.Is(err, fs.ErrNotExist) {
		d.synced = false
		_, err = appendLines(d.files, d.file(), true, false, d.sync, line)
	}
	return err
}

// sync puts the names of this device's files on the disk: whenever a file is
// new, and the first time in each process, since that a file was there before
// does not say that its name is.
func (d *device) sync() error {
	if d.synced {
		return nil
	}
	for _, dir := range []string{filepath.Join(d.dir, "twins"), d.dir} {
		if err := d.files.SyncDir(dir); err != nil {
			return err
		}
	}
	if err := syncParents(d.files, d.dir); err != nil {
		return err
	}
	d.synced = true
	return nil
}

// syncParents syncs the folders above dir, since any of them may have just been
// made. One that this user may not open was made by somebody else. Above the
// first, a file system that knows no such thing is passed over: it says nothing
// about where the job is.
func syncParents(files FS, dir string) error {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return err
	}
	first := true
	for parent := filepath.Dir(dir); parent != dir; dir, parent = parent, filepath.Dir(parent) {
		err := files.SyncDir(parent)
		unknown := errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP)
		if err != nil && !errors.Is(err, fs.ErrPermission) && (first || !unknown) {
			return err
		}
		first = false
	}
	return nil
}

func validDevice(id string) bool {
	return len(id) >= 4 && len(id) <= 16 && strings.Trim(id, letters) == ""
}

// letters are those of ids: lower case and figures without the pairs that are
// mistaken for each other when they are read out.
const letters = "abcdefghjkmnpqrstuvwxyz23456789"

// randomWord makes n letters from the system's random source.
func randomWord(n int) string {
	b := make([]byte, n)
	rand.Read(b) // never fails
	for i := range b {
		// 31 letters from 256 values: the first eight come up a little more often.
		b[i] = letters[int(b[i])%len(letters)]
	}
	return string(b)
}

// checkName trims a person's name and says what is wrong with it.
func checkName(name string) (string, error) {
	name = strings.Join(strings.Fields(name), " ")
	switch {
	case name == "":
		return "", errors.New("a name is needed")
	case !utf8.ValidString(name) || Plain(name) != name:
		return "", errors.New("a name holds letters only, no control characters")
	case len(name) > maxName:
		return "", fmt.Errorf("a name has at most %d characters", maxName)
	}
	return name, nil
}

// checkSigner is checkName for whoever answers for something by name: a release,
// a pass, a test. One letter would say nothing to those who read the record.
func checkSigner(name string) (string, error) {
	name, err := checkName(name)
	if err != nil {
		return "", err
	}
	count := 0
	for _, r := range name {
		if unicode.IsLetter(r) {
			count++
		}
	}
	if count < 2 {
		return "", fmt.Errorf("%q is too short for a name: at least two letters, so that others know who it was", name)
	}
	return name, nil
}

// signer is checkSigner for a job: the name of a role is nobody's name.
func (j *Job) signer(name string) (string, error) {
	name, err := checkSigner(name)
	if err == nil && isRole(name) && j.keeps(RuleRoleWord) {
		return "", &RefusedError{name, []string{roleOnly(name)}}
	}
	return name, err
}

// somebody says whether an entry names a person who answers for it.
func (j *Job) somebody(by string) bool {
	return by != "" && !(isRole(by) && j.keeps(RuleRoleWord))
}

// CheckPerson is the name of somebody who works here, trimmed, or what is wrong with it.
func CheckPerson(name string) (string, error) {
	name, err := checkName(name)
	if err == nil && isRole(name) {
		return "", errors.New(roleOnly(name))
	}
	return name, err
}

// signRoles are the roles in which a test is signed.
func signRoles() []string { return []string{"operator", "witness", "inspector", "owner"} }

// isRole says whether a name is only the word of a role, however it is written.
func isRole(name string) bool {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) })
	words = slices.DeleteFunc(words, func(w string) bool { return slices.Contains([]string{"the", "our", "boiler", "club"}, w) })
	return len(words) == 1 && slices.Contains(append(signRoles(), "fitter", "helper"), words[0])
}

// roleOnly is what is said to who gives a role for a name.
func roleOnly(name string) string {
	return fmt.Sprintf("%q is a role and says nobody's name: give the name of the person", name)
}

// Person is the name this device remembers as who is working; "" before the
// first time.
func Person(env Env) (string, error) {
	d := device{files: env.files(), dir: env.StateDir}
	id, err := d.identify()
	return id.Person, err
}

// SetPerson makes this device remember who is working from now on.
func SetPerson(env Env, name string) error {
	name, err := CheckPerson(name)
	if err != nil {
		return err
	}
	d := device{files: env.files(), dir: env.StateDir}
	unlock, err := d.lock()
	if err != nil {
		return err
	}
	return errors.Join(d.append(identity{Person: name}), unlock())
}
