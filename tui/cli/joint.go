package cli

import (
	"github.com/spf13/cobra"
)

func jointCommand(env Env) *cobra.Command {
	return &cobra.Command{Use: "joint", Hidden: true}
}
