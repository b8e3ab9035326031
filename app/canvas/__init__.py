"""The sheet on screen: throwaway items keyed by owner, drawn from the display list; the tools. Qt."""
