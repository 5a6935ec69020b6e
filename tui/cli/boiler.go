package cli

import (
	"github.com/spf13/cobra"
)

func boilerCommand(env Env) *cobra.Command {
	return &cobra.Command{Use: "boiler", Hidden: true}
}
