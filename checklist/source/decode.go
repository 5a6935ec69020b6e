package source

import (
	"errors"
	"fmt"

	"github.com/BurntSushi/toml"
)

// Decode parses TOML. The parser's own panics, which it has for texts that it
// believes impossible, become errors.
func Decode(src string) (root map[string]any, keys []toml.Key, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the text confuses the TOML parser: %v", r)
		}
	}()
	var v any
	md, err := toml.Decode(src, &v)
	if err != nil {
		return nil, nil, err
	}
	root, ok := v.(map[string]any)
	if !ok {
		return nil, nil, errors.New("the file holds no table")
	}
	return root, md.Keys(), nil
}
