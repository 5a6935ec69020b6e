package cli

import (
	"github.com/spf13/cobra"
)

func jobCommand(env Env) *cobra.Command {
	return &cobra.Command{Use: "job", Hidden: true}
}
