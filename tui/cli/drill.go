package cli

import (
	"github.com/spf13/cobra"
)

func drillCommand(env Env) *cobra.Command {
	return &cobra.Command{Use: "drill", Hidden: true}
}
