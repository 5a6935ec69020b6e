package cli

import (
	"github.com/spf13/cobra"
)

func rescueCommand(env Env) *cobra.Command {
	return &cobra.Command{Use: "rescue", Hidden: true}
}
