package recipes
