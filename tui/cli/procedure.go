package cli

import (
	"github.com/spf13/cobra"
)

func procedureCommand(env Env) *cobra.Command {
	return &cobra.Command{Use: "procedure", Hidden: true}
}
