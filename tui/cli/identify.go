package cli

import (
	"github.com/spf13/cobra"
)

func identifyCommand(env Env) *cobra.Command {
	return &cobra.Command{Use: "identify", Hidden: true}
}
