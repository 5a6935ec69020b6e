package cli

import (
	"github.com/spf13/cobra"
)

func torqueCommand(env Env) *cobra.Command {
	return &cobra.Command{Use: "torque", Hidden: true}
}
