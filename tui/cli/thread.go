package cli

import (
	"github.com/spf13/cobra"
)

func threadCommand(env Env) *cobra.Command {
	return &cobra.Command{Use: "thread", Hidden: true}
}
